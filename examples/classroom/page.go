package main

import (
	"fmt"
	"html"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
)

// pageHead begins a page that needs nothing else and prints on paper.
const pageHead = `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>%s</title>
<style>body{font:16px/1.4 serif;max-width:48rem;margin:1rem auto}pre{font:inherit;white-space:pre-wrap;margin:1rem 0 .3rem}
svg{width:100%%;height:auto;border:1px solid #999}section{break-inside:avoid}</style></head><body>
`

// page writes a sheet as HTML, with the figure of a problem under its question.
func page(title, sheet string, figures []file) string {
	var b strings.Builder
	fmt.Fprintf(&b, pageHead, html.EscapeString(visible.Text(title)))
	for block := range strings.SplitSeq(strings.TrimSpace(sheet), "\n\n") {
		fmt.Fprintf(&b, "<section><pre>%s</pre>\n", html.EscapeString(visible.Lines(block)))
		for _, f := range figures {
			if f.of != "" && strings.Contains(strings.SplitN(block, "\n", 2)[0], " ("+f.of+"). ") {
				b.WriteString(f.text[strings.Index(f.text, "<svg"):])
			}
		}
		b.WriteString("</section>\n")
	}
	b.WriteString("</body></html>\n")
	return b.String()
}
