package lesson

import (
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

func solveNetwork(p *problem) {
	method := p.word("method", methods...)
	water := p.waterOrViscosity()
	n := hydraulics.Network{Nodes: p.networkNodes(), Pipes: p.networkPipes(method, water)}
	if !p.ready() {
		return
	}
	s, err := n.Solve()
	if p.fail(err) {
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
	p.source("Cross (1936), Epp and Fowler (1970)")
	if len(n.Pipes) > 0 {
		p.frictionSource(n.Pipes[0].Friction.Method)
	}
	if !p.working {
		return
	}
	p.formula("flows that balance at every node, with losses that add to nothing round every loop; Newton's method " +
		"on the loop flows")
	for i, pipe := range n.Pipes {
		p.step("pipe %s: %s from %s to %s", pipe.ID, flows.items[i], pipe.From, pipe.To)
	}
	for i, node := range n.Nodes {
		p.step("node %s: head %s", node.ID, heads.items[i])
	}
	p.nodeWorking(&n, flows.items, heads.items)
	p.step("balanced to 1e-9 of the greatest flow and head")
}

func (p *problem) networkNodes() (nodes []hydraulics.NetworkNode) {
	for f := range p.each("nodes", "node") {
		f.Need("id")
		n := hydraulics.NetworkNode{ID: f.Text("id"), Fixed: f.Get("head") != nil}
		if n.Fixed {
			n.Head, _ = readIf[units.Head](p, f, "head", anySign)
			if f.Get("demand") != nil {
				f.Faultf("demand", "head is given too: a node has one of head, demand")
			}
		} else {
			n.Demand, _ = readIf[units.Flow](p, f, "demand", anySign)
		}
		nodes = append(nodes, n)
	}
	return nodes
}

func (p *problem) networkPipes(method string, water hydraulics.Water) (pipes []hydraulics.NetworkPipe) {
	for f := range p.each("pipes", "") {
		f.Need("id")
		f.Need("from")
		f.Need("to")
		pipes = append(pipes, hydraulics.NetworkPipe{ID: f.Text("id"), From: f.Text("from"), To: f.Text("to"),
			Friction: p.pipeFriction(f, method, water)})
	}
	return pipes
}

// pipeFriction reads the pipe of an item of a list.
func (p *problem) pipeFriction(f *strictjson.Fields, method string, water hydraulics.Water) hydraulics.Friction {
	length, bore := read[units.Length](p, f, "length", positive), read[units.Length](p, f, "bore", positive)
	pipe := p.law(f, method)
	pipe.Length, pipe.Bore, pipe.Water = length, bore, water
	return pipe
}

// nodeWorking checks the first pipe and the first node that draws, as a student would.
func (p *problem) nodeWorking(n *hydraulics.Network, flows, heads []value) {
	at := map[string]int{}
	for i, node := range n.Nodes {
		at[node.ID] = i
	}
	for i, node := range n.Nodes {
		if node.Fixed {
			continue
		}
		sum := ""
		for j, pipe := range n.Pipes {
			switch node.ID {
			case pipe.To:
				sum += " + (" + flows[j].String() + ")"
			case pipe.From:
				sum += " - (" + flows[j].String() + ")"
			}
		}
		p.equation("drawn at "+n.Nodes[i].ID, p.flowValue(node.Demand), "sum of what flows in",
			"%s", strings.TrimPrefix(sum, " + "))
		break
	}
	if len(n.Pipes) == 0 {
		return
	}
	pipe := n.Pipes[0]
	from, to := heads[at[pipe.From]], heads[at[pipe.To]]
	loss := from
	loss.x -= to.x
	p.equation("head lost in "+pipe.ID, loss, "head from - head to", "%s - %s", from, to)
}
