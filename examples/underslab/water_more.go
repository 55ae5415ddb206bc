package main

type LoopRow struct{}
type SleeveRow struct{}
type UniformRow struct{}
type HotWaterRow struct{}

func loops(w *waterJudged, p printer) []LoopRow              { return nil }
func sleeves(w *waterJudged, p printer) []SleeveRow          { return nil }
func uniform(w *waterJudged, p printer) []UniformRow         { return nil }
func hotWater(w *waterJudged, p printer) []HotWaterRow       { return nil }
func waterMaterials(w *waterJudged, p printer) []MaterialRow { return nil }
func waterTest(w *waterJudged, p printer) []string           { return nil }
func (r *Report) printWater(p *page)                         {}
