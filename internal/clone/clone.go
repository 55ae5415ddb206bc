// Package clone copies what layouts point to, so that what was made from a layout stays as it
// was when that is edited.
package clone

// Of returns a pointer to a copy of what p points to, nil for nil.
func Of[T any](p *T) *T {
	if p == nil {
		return nil
	}
	c := *p
	return &c
}
