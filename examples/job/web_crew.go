package job

// crew is what is taken to the trench: stubs, cleanouts, rods, the test, what to bring.
func (p *web) crew() {
	p.tag("<section id=\"crew\" class=\"leaf\" aria-labelledby=\"crew-h\"><h2 id=\"crew-h\">Crew page</h2>\n")
	if p.r.made.drains != nil {
		p.part("Stubs", p.r.Stubs)
	}
	p.part("Cleanouts", p.r.Cleanouts)
	p.rods()
	p.test()
	p.part("Take-off", &p.r.Materials)
	p.tag("</section>\n")
}

func (p *web) rods() {
	s := p.r.Rods
	if s == nil {
		return
	}
	p.tag("<h3>Rod sheet</h3><p>The beam %s.</p>", s.Beam)
	p.part("Lines, and what the beam does along them", s.Runs)
	p.part("Rod readings", s.Rods)
}

// test is the water test, with lines to sign.
func (p *web) test() {
	t := &p.r.Tests
	p.part("Tests before the pour", t)
	p.tag(
		"<p class=\"warn\">A plug or cap under water can fly out with great force: tie or block it, and keep clear of its " +
			"line. " +
			"Never test plastic pipe with air unless its maker and the code allow it.</p>",
	)
	p.tag(
		"<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Test record\"><table " +
			"class=\"signs\"><caption>Test record</caption><thead><tr><th scope=\"col\">Test</th><th scope=\"col\">Filled " +
			"at</th>" +
			"<th scope=\"col\">Held until</th><th scope=\"col\">Result</th><th scope=\"col\">Signed</th></tr></thead><tbody>",
	)
	for _, x := range t.Drains {
		p.tag("<tr><th scope=\"row\">System %s</th><td></td><td></td><td></td><td></td></tr>", x.System)
	}
	if len(t.Water) > 0 {
		p.tag("<tr><th scope=\"row\">Water lines</th><td></td><td></td><td></td><td></td></tr>")
	}
	p.tag("</tbody></table></div>\n")
}
