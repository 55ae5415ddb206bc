package supply

// The names by which the tests of this package call a layout and what makes one.
type LayoutData = Data

var (
	NewLayout   = func(d Data) (*Layout, error) { return New(d) }
	ParseLayout = Parse
)
