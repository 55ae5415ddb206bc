package dwv

import (
	"github.com/trapweir/trapweir/internal/pipes"
	"github.com/trapweir/trapweir/units"
)

// FormatSize writes a nominal pipe size as the trade says it: "2-1/2 in", "15 in",
// "100 mm". Sizes that are whole sixteenths of an inch are written in inches,
// others as a length, which is millimetres where they are whole.
func FormatSize(size units.Length) string { return pipes.FormatSize(size) }
