// Embed is what a design program needs of the library: a layout in as JSON, its sizes, its
// findings and a drawing out. The same judge runs here from a terminal and, built as wasm,
// in a page.
//
//	go run ./examples/embed < examples/embed/drain.json
//	GOOS=js GOARCH=wasm go build -ldflags="-s -w" -o examples/embed/web/embed.wasm ./examples/embed
//
// The answers are calculations. What is built is decided by the code in force, the local
// authority and a licensed practitioner.
package main

import (
	"bytes"
	"encoding/json"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/tables"
)

// answer is what the program around it shows.
type answer struct {
	Sizes    drains.SizingData `json:"sizes"`
	Findings []tables.Finding  `json:"findings"`
	Plan     string            `json:"plan"` // SVG
	Cautions []string          `json:"cautions"`
}

// judge sizes a layout of drains under a code of the shelf, judges and draws it.
func judge(layout []byte, codeID string) ([]byte, error) {
	code, err := dwv.LoadCode(tables.Embedded(), codeID)
	if err != nil {
		return nil, err
	}
	l, err := drains.Parse("layout", layout, code)
	if err != nil {
		return nil, err
	}
	s, err := l.Size(code, drains.Options{})
	if err != nil {
		return nil, err
	}
	a := answer{Sizes: s.Data(), Cautions: drains.Cautions()}
	if a.Findings, err = s.Check(drains.CheckOptions{ProblemsOnly: true}); err != nil {
		return nil, err
	}
	drawn, err := s.Draw(drains.DrawOptions{})
	if err != nil {
		return nil, err
	}
	scene := drawn.Plan
	if scene == nil {
		scene = drawn.Schematic
	}
	sheets, err := draw.Plan(scene, draw.Options{})
	if err != nil {
		return nil, err
	}
	a.Plan = string(sheets[0].SVG[bytes.Index(sheets[0].SVG, []byte("<svg")):])
	return json.Marshal(a)
}
