// Package pipes finds the dimensions of drainage pipe on a shelf, by material and
// nominal size.
package pipes

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A Dimension is a row of a table of pipe dimensions, pipes/FAMILY.
type Dimension struct {
	Size units.Length `table:"size"`
	Rule string       `table:"id_rule"`
	OD   units.Length `table:"od"`
	ID   units.Length `table:"id"`
}

// A Family is a row of the list of pipes.
type Family struct {
	Name     string `table:"family"`
	Material string `table:"material"`
	Standard string `table:"standard"`
	Use      string `table:"use"`
	Unit     string `table:"unit"`
	Rule     string `table:"id_rule"`
	What     string `table:"what"`
}

// A Shelf finds the dimensions of pipes by material and nominal size. It reads
// each table once and is made anew for each calculation, whose results may be asked by
// many at once.
type Shelf struct {
	shelf    *tables.Shelf
	families map[string]Family

	mu   sync.Mutex // of what was found so far
	dims map[string]map[units.Length]slope.Pipe
	// The last pipe asked for: neighbours on a tree are mostly of one kind.
	material string
	size     units.Length
	found    slope.Pipe
}

// New reads the list of pipes of a shelf.
func New(shelf *tables.Shelf) (*Shelf, error) {
	p := &Shelf{shelf: shelf, families: map[string]Family{}, dims: map[string]map[units.Length]slope.Pipe{}}
	rows, err := tables.Load[Family](shelf, "pipes/families")
	if errors.Is(err, tables.ErrNotFound) {
		return p, nil // a shelf of the user's own may have no pipes
	}
	if err != nil {
		return nil, err
	}
	for _, f := range rows.All() {
		p.families[f.Name] = *f
	}
	return p, nil
}

// Families returns the names of the families of a use, "supply" or "drain", sorted.
func (p *Shelf) Families(use string) []string {
	var names []string
	for name, f := range p.families {
		if f.Use == use {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// Find returns the dimensions of a pipe. A material that is not on the shelf, or
// not in that size, has the nominal size for its bore and no wall.
func (p *Shelf) Find(material string, size units.Length) (slope.Pipe, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if material == p.material && size == p.size {
		return p.found, nil
	}
	d := slope.Pipe{Bore: size}
	if f, ok := p.families[material]; ok {
		bySize, ok := p.dims[material]
		if !ok {
			rows, err := tables.Load[Dimension](p.shelf, "pipes/"+material)
			if err != nil {
				return d, fmt.Errorf("material %q: %w", material, err)
			}
			bySize = make(map[units.Length]slope.Pipe, rows.Len())
			for _, r := range rows.All() {
				if r.Rule == f.Rule {
					bySize[r.Size] = slope.Pipe{Bore: r.ID, Wall: (r.OD - r.ID) / 2}
				}
			}
			p.dims[material] = bySize
		}
		if x, ok := bySize[size]; ok {
			d = x
		}
	}
	p.material, p.size, p.found = material, size, d
	return d, nil
}

// Sizes returns the sizes of a family that [Shelf.Find] was asked for before, ascending.
func (p *Shelf) Sizes(material string) []units.Length {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Sorted(maps.Keys(p.dims[material]))
}

// Choices returns the families for a use, supply or drain, with the shelf's own titles, in
// order of their names.
func (p *Shelf) Choices(use string) []tables.Choice {
	var list []tables.Choice
	for _, name := range slices.Sorted(maps.Keys(p.families)) {
		if f := p.families[name]; f.Use == use {
			list = append(list, tables.Choice{ID: name, Label: f.What})
		}
	}
	return list
}

// Family returns the family of pipe that a material names.
func (p *Shelf) Family(material string) (Family, bool) {
	f, ok := p.families[material]
	return f, ok
}

// Cement is what one joint takes; a pipe that is not cemented takes none, and ABS no primer.
type Cement struct {
	Cement, Primer units.Volume
	Citation       tables.Citation
}

// cementRow says how many joints a quart of solvent cement and of primer make.
type cementRow struct {
	Size   units.Length `table:"size"`
	Cement float64      `table:"cement"`
	Primer float64      `table:"primer"`
}

// Cement returns what a joint of a pipe takes, nothing where the shelf does not say.
func (p *Shelf) Cement(material string, size units.Length) (Cement, error) {
	of := p.families[material].Material
	if of != "PVC" && of != "ABS" {
		return Cement{}, nil
	}
	rows, err := tables.Load[cementRow](p.shelf, "materials/solvent-cement-joints")
	if errors.Is(err, tables.ErrNotFound) {
		return Cement{}, nil
	}
	if err != nil {
		return Cement{}, err
	}
	const quart = units.USGallon / 4
	for i, r := range rows.All() {
		if r.Size == size {
			c := Cement{Cement: quart / units.Volume(r.Cement), Citation: rows.Cite(i)}
			if of == "PVC" {
				c.Primer = quart / units.Volume(r.Primer)
			}
			return c, nil
		}
	}
	return Cement{}, nil
}

// FormatSize writes a nominal pipe size as the trade says it: "2-1/2 in", "15 in",
// "100 mm". Sizes that are whole sixteenths of an inch are written in inches,
// others as a length, which is millimetres where they are whole.
func FormatSize(size units.Length) string {
	const sixteenth = units.Inch / 16
	if size <= 0 || size%sixteenth != 0 {
		return size.String()
	}
	whole, num, den := size/units.Inch, size%units.Inch/sixteenth, 16
	for num != 0 && num%2 == 0 {
		num, den = num/2, den/2
	}
	switch {
	case num == 0:
		return fmt.Sprintf("%d in", int64(whole))
	case whole == 0:
		return fmt.Sprintf("%d/%d in", int64(num), den)
	}
	return fmt.Sprintf("%d-%d/%d in", int64(whole), int64(num), den)
}
