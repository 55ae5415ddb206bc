package lesson

import (
	"fmt"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

func solveNetwork(p *problem) {
	method := p.word("method", "hazen-williams", "darcy-weisbach")
	water := p.waterOrViscosity()
	var n hydraulics.Network
	if p.fields.Need("nodes") {
		n.Nodes = p.networkNodes()
	}
	if p.fields.Need("pipes") {
		n.Pipes = p.networkPipes(method, water)
	}
	if len(n.Nodes) == 0 && p.doc.Faults.Len() == 0 {
		p.fields.Faultf("nodes", "empty: give at least one node")
	}
	if !p.ready() {
		return
	}
	s, err := n.Solve()
	if err != nil {
		p.fail(err)
		return
	}
	var flows, heads answers
	flows.form, heads.form = objectForm, objectForm
	for i, pipe := range n.Pipes {
		flows.add(pipe.ID, p.flowValue(s.Flows[i]))
	}
	for i, node := range n.Nodes {
		heads.add(node.ID, p.headValue(s.Heads[i]))
	}
	p.add("flows", flows.value)
	p.add("heads", heads.value)
	if !p.working {
		return
	}
	p.formula("flows that balance at every node, with losses that add to nothing round every loop; Newton's method on the loop flows")
	for i, pipe := range n.Pipes {
		p.step("%s: %s from %s to %s", pipe.ID, flows.items[i], pipe.From, pipe.To)
	}
	for i, node := range n.Nodes {
		p.step("%s: head %s", node.ID, heads.items[i])
	}
	p.step("balanced to 1e-9 of the greatest flow and head")
	p.source("Cross (1936), Epp and Fowler (1970)")
}

func (p *problem) networkNodes() []hydraulics.NetworkNode {
	items := p.fields.List("nodes")
	nodes := make([]hydraulics.NetworkNode, len(items))
	for i := range items {
		f := p.doc.Fields(&items[i], fmt.Sprintf("nodes[%d]", i))
		f.Need("id")
		n := hydraulics.NetworkNode{ID: f.Text("id")}
		if f.Get("head") != nil {
			n.Fixed = true
			n.Head, _ = readIf[units.Head](p, f, "head", anySign)
			if f.Get("demand") != nil {
				f.Faultf("demand", "head is given too: a node has one of head, demand")
			}
		} else {
			n.Demand, _ = readIf[units.Flow](p, f, "demand", anySign)
		}
		f.Done()
		nodes[i] = n
	}
	return nodes
}

func (p *problem) networkPipes(method string, water hydraulics.Water) []hydraulics.NetworkPipe {
	items := p.fields.List("pipes")
	pipes := make([]hydraulics.NetworkPipe, len(items))
	for i := range items {
		f := p.doc.Fields(&items[i], fmt.Sprintf("pipes[%d]", i))
		f.Need("id")
		f.Need("from")
		f.Need("to")
		pipe := hydraulics.NetworkPipe{ID: f.Text("id"), From: f.Text("from"), To: f.Text("to"), Friction: hydraulics.Friction{
			Length: read[units.Length](p, f, "length", positive),
			Bore:   read[units.Length](p, f, "bore", positive),
			Water:  water,
		}}
		other := ""
		switch method {
		case "hazen-williams":
			pipe.Friction.Method, other = hydraulics.HazenWilliams, "roughness"
			if f.Need("c") {
				pipe.Friction.C, _ = numberOf(f, "c", anyPositive)
			}
		case "darcy-weisbach":
			pipe.Friction.Method, other = hydraulics.DarcyWeisbach, "c"
			pipe.Friction.Roughness = read[units.Length](p, f, "roughness", notNegative)
		}
		if f.Get(other) != nil {
			f.Faultf(other, "not a field of %s", method)
		}
		f.Done()
		pipes[i] = pipe
	}
	return pipes
}
