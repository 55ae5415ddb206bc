package dwv

import (
	"fmt"

	"github.com/trapweir/trapweir/units"
)

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
