// Package angle is the trigonometry of bearings.
package angle

import "math"

// SinCos returns the sine and the cosine of an angle in degrees, exact at the quarter turns.
func SinCos(degrees float64) (sin, cos float64) {
	switch math.Mod(math.Mod(degrees, 360)+360, 360) {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	return math.Sincos(math.Mod(degrees, 360) * math.Pi / 180)
}
