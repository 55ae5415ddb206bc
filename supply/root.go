package supply

import "math"

// increasingRoot returns the x in [low, high] at which an increasing function,
// given with its derivative, reaches y. Newton's steps are kept in the bracket.
func increasingRoot(low, high, y float64, f func(float64) (value, slope float64)) float64 {
	x := high
	for range 200 {
		v, s := f(x)
		v -= y
		if v == 0 {
			return x
		}
		if v > 0 {
			high = x
		} else {
			low = x
		}
		next := x - v/s
		if !(next > low && next < high) {
			next = low + (high-low)/2
		}
		if math.Abs(next-x) <= 2e-16*math.Abs(x) || next == low || next == high {
			return next
		}
		x = next
	}
	return x
}

// bracketedRoot returns the root of an increasing function in [low, high], to
// the last digits. Regula falsi that halves the stale end (Illinois) is enough
// where the function is nearly straight.
func bracketedRoot(low, high float64, f func(float64) float64) float64 {
	fl, fh := f(low), f(high)
	if fl >= 0 {
		return low
	}
	if fh <= 0 {
		return high
	}
	side := 0
	for range 300 {
		x := high - fh*(high-low)/(fh-fl)
		if !(x > low && x < high) {
			x = low + (high-low)/2
		}
		v := f(x)
		switch {
		case v == 0:
			return x
		case v < 0:
			if x-low <= 1e-16*math.Abs(x) {
				return x
			}
			low, fl = x, v
			if side < 0 {
				fh /= 2
			}
			side = -1
		default:
			if high-x <= 1e-16*math.Abs(x) {
				return x
			}
			high, fh = x, v
			if side > 0 {
				fl /= 2
			}
			side = 1
		}
		if math.Nextafter(low, high) >= high {
			return x
		}
	}
	return low + (high-low)/2
}
