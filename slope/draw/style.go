package draw

import "strings"

// Style is what a line stands for, and so how it is drawn. Patterns and weights tell
// them apart on a copier; colours only help, and differ in lightness as well.
type Style uint8

// The styles.
const (
	Drain     Style = iota // heavy, solid
	Buried                 // drain below ground where drains above it are shown too: long dashes
	Vent                   // short dashes
	Cold                   // dash and dot
	Hot                    // dash and two dots
	Return                 // dash and three dots
	Wall                   // thick, grey
	Concrete               // slab, footing: thin
	Ground                 // very long dashes and a short one
	Trench                 // fine dashes
	Guide                  // hair line
	Pressure               // of a graph: heavy, solid
	Static                 // of a graph: long dashes
	Needed                 // of a graph: fine dots
	Dimension              // hair line with a slash at each end: a measured distance

	styleCount
)

// pen is how a style is drawn: width and dashes in points, colour.
type pen struct {
	key, name, width, dash, colour string
}

var pens = [styleCount]pen{
	Drain:     {"drain", "drain", "1.6", "", "#000"},
	Buried:    {"buried", "drain below ground", "1.6", "9 2.5", "#000"},
	Vent:      {"vent", "vent", "0.9", "3 1.8", "#005a54"},
	Cold:      {"cold", "cold water", "1", "8 2 1.2 2", "#0a4a9e"},
	Hot:       {"hot", "hot water", "1", "8 2 1.2 2 1.2 2", "#9c2f00"},
	Return:    {"return", "hot water return", "0.8", "8 2 1.2 2 1.2 2 1.2 2", "#66308a"},
	Wall:      {"wall", "wall, its faces", "1.2", "", "#9a9a9a"},
	Concrete:  {"concrete", "concrete", "0.7", "", "#555"},
	Ground:    {"ground", "ground outside", "0.8", "14 2 3 2", "#5f4717"},
	Trench:    {"trench", "trench bottom", "0.6", "2 1.6", "#5f4717"},
	Guide:     {"guide", "guide", "0.35", "", "#666"},
	Pressure:  {"pressure", "pressure while water flows", "1.6", "", "#000"},
	Static:    {"static", "pressure while nothing flows", "1", "9 2.5", "#0a4a9e"},
	Needed:    {"needed", "pressure needed", "1", "1.2 1.6", "#9c2f00"},
	Dimension: {"dimension", "measured distance", "0.35", "", "#000"},
}

// Key returns the short name of the style: "drain", "buried", "vent" ...
func (s Style) Key() string {
	if s >= styleCount {
		return ""
	}
	return pens[s].key
}

// Shape is what a mark looks like.
type Shape uint8

// The shapes.
const (
	Joint            Shape = iota // a small dot
	Riser                         // a dot: pipe that rises through the floor
	Fixture                       // a square
	Cleanout                      // a circle, pointing the way a cable enters
	CleanoutMain                  // the same, filled
	CleanoutBoth                  // a double circle: a cable enters both ways
	CleanoutMainBoth              // a double circle, the inner one filled: the main cleanout, both ways
	TakeOff                       // an open triangle: a vent starts
	Terminal                      // a filled triangle: a vent ends in the open air
	Outlet                        // a diamond
	Sleeve                        // two short bars across the pipe
	Device                        // a square with a cross: meter, valve, heater, interceptor
	Tick                          // a short upright stroke
	Cap                           // an open square: capped for later

	shapeCount
)

// forms are the shapes: their short names, what the key calls them (nothing: it leaves them
// out), half their width on paper, and whether they are filled.
var forms = [shapeCount]struct {
	key, name string
	reach     int
	filled    bool
}{
	Joint:            {"joint", "", 110, true},
	Riser:            {"riser", "riser through the floor", 200, true},
	Fixture:          {"fixture", "fixture", 300, true},
	Cleanout:         {"cleanout", "cleanout; arrow: the way a cable enters", 340, false},
	CleanoutMain:     {"cleanout-main", "main cleanout", 340, true},
	CleanoutBoth:     {"cleanout-both", "two-way cleanout", 340, false},
	CleanoutMainBoth: {"cleanout-main-both", "main cleanout, two-way", 340, true},
	TakeOff:          {"take-off", "vent take-off", 400, false},
	Terminal:         {"terminal", "vent to the open air", 300, true},
	Outlet:           {"outlet", "outlet", 300, false},
	Sleeve:           {"sleeve", "sleeve", 300, false},
	Device:           {"device", "device", 300, false},
	Tick:             {"tick", "", 110, false},
	Cap:              {"cap", "capped for later", 300, false},
}

// Key returns the short name of the shape: "joint", "riser", "fixture" ...
func (s Shape) Key() string {
	if s >= shapeCount {
		return ""
	}
	return forms[s].key
}

// sheetStyle is the style sheet that stands in every drawing. Its classes are those of
// the pens, below a class that no page will have by chance.
var sheetStyle = func() string {
	var b strings.Builder
	// Faces as wide as those the text is measured by, the last for machines that have no other.
	b.WriteString(".twd{background:#fff;font-family:Arial,Helvetica,'Liberation Sans',Arimo,'Nimbus Sans'," +
		"'DejaVu Sans Condensed',sans-serif;font-size:6px}" +
		".twd path{fill:none;stroke:#000;stroke-width:.6}.twd .f{fill:#000}.twd .w{fill:#fff}.twd .s{fill:#ddd;" +
		"stroke:none}.twd .p{fill:#fff;stroke:none}" +
		".twd .needle{stroke:#9c2f00;stroke-width:1.2}.twd .b{font-weight:bold}.twd .h{stroke:#666;" +
		"stroke-width:.35}.twd " +
		".k{fill:#fff;font-weight:bold}")
	for _, p := range pens {
		b.WriteString(".twd ." + p.key + "{stroke:" + p.colour + ";stroke-width:" + p.width)
		if p.dash != "" {
			b.WriteString(";stroke-dasharray:" + p.dash)
		}
		b.WriteString("}")
	}
	b.WriteString(".twd .s1{stroke-width:1;stroke:#6b3000}.twd .s2{stroke-width:.7;stroke:#444}")
	return b.String()
}()
