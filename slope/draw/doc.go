// Package draw makes drawings of pipe from plain geometry: a plan, a profile, an
// isometric and a graph, as SVG on sheets that can be printed. It knows no code and no
// layout: it is given lines, marks, notes and labels.
//
//	Line   a run of pipe, a wall, a level: a path with a [Style], an arrow, a label
//	Mark   a symbol at a place, with a label
//	Area   a shaded part
//	Note   a numbered ring at one or more places, and its text in a list at the side
//
// A [Scene] holds them; [Plan] and [Isometric] draw it. A [Section] adds a table of
// stations; [Profile] draws that. A [Chart] is drawn by [Graph]. Each returns sheets.
//
// Sheets are Letter or Tabloid, or A4 or A3, with the scale and a bar, a key of the
// patterns in use, and a title block. Where the labels find no room on one sheet the
// drawing is cut into several to a larger scale, after a key sheet.
//
// No text overlaps another, nor a line that is not its own: each label tries the
// sides of its place, then the end of a leader, in a fixed order; what finds no room
// stands in a list, and [Sheet] counts it. Nothing is printed smaller than 6 points.
// Every text is given its width, from one table, so that viewers agree.
//
// Patterns tell the lines apart without colour. Each item stands in a group whose id is
// that of the layout ([Anchor]), with a title for readers who cannot see it, so that a page can link
// to it. Text from outside is escaped, and characters that would steer it are replaced.
// The same input gives the same bytes on every machine. There is no script in a sheet
// and nothing that a viewer would have to fetch.
package draw
