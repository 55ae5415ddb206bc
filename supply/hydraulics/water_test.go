package hydraulics_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// The tolerances are those that the comment of WaterAt states.
func TestWaterAgainstIAPWS(t *testing.T) {
	for _, row := range proof.ReadCSV(t, "water_iapws.csv") {
		w, err := hydraulics.WaterAt(units.Celsius(proof.Number(t, row["celsius"])))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			column    string
			got       float64
			tolerance float64
		}{
			{"density", float64(w.Density), 1e-7},
			{"viscosity", float64(w.Viscosity), 4e-5},
			{"specific_heat", float64(w.SpecificHeat), 4e-5},
			{"conductivity", float64(w.Conductivity), 4e-5},
			{"sound_speed", float64(w.SoundSpeed), 5e-6},
			{"vapour_pressure_if97", float64(w.VapourPressure), 1e-9},
			{"vapour_pressure", float64(w.VapourPressure), 8e-5},
		} {
			if want := proof.Number(t, row[c.column]); !proof.Near(c.got, want, c.tolerance) {
				t.Errorf("%s degC: %s %.9g, want %.9g (off by %.2g)", row["celsius"], c.column, c.got, want, c.got/want-1)
			}
		}
		// Adiabatic: rho c², which a wave goes by.
		if k := proof.Number(t, row["density"]) * math.Pow(proof.Number(t, row["sound_speed"]),
			2); !proof.Near(float64(w.BulkModulus), k, 1.1e-5) {
			t.Errorf("%s degC: bulk modulus %v, want %v", row["celsius"], float64(w.BulkModulus), k)
		}
		if nu := float64(w.Viscosity) / float64(w.Density); !proof.Near(float64(w.KinematicViscosity), nu, 1e-15) {
			t.Errorf("%s degC: kinematic viscosity %v, want %v", row["celsius"], w.KinematicViscosity, nu)
		}
	}
}

// Published check value of IAPWS R7-97(2012), Table 35: 0.353658941e-2 MPa at 300 K.
func TestVapourPressureCheckValue(t *testing.T) {
	w, err := hydraulics.WaterAt(units.Kelvin(300))
	if err != nil || !proof.Near(float64(w.VapourPressure), 0.353658941e4, 1e-9) {
		t.Errorf("vapour pressure at 300 K: %v, %v", float64(w.VapourPressure), err)
	}
}

func TestWaterRange(t *testing.T) {
	for _, in := range []units.Temperature{units.Fahrenheit(32), units.Fahrenheit(212), units.Celsius(0),
		units.Celsius(100)} {
		if _, err := hydraulics.WaterAt(in); err != nil {
			t.Errorf("%v: %v", in, err)
		}
	}
	for _, in := range []float64{-0.001, 100.001, math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := hydraulics.WaterAt(units.Celsius(in))
		var argument *units.RangeError
		if !errors.Is(err, units.ErrRange) || !errors.As(err, &argument) || argument.Name != "temperature" {
			t.Errorf("%v degC: %v", in, err)
		}
	}
	boiling, _ := hydraulics.WaterAt(units.Celsius(100))
	hot, _ := hydraulics.WaterAt(units.Celsius(99))
	if !boiling.Notes.Has(hydraulics.NoteBoiling) || hot.Notes != 0 {
		t.Errorf("notes at 100 degC %v, at 99 degC %v", boiling.Notes, hot.Notes)
	}
}

func TestWaterAllocatesNothing(t *testing.T) {
	hydraulics.WaterAt(units.Celsius(15))
	if n := testing.AllocsPerRun(100, func() { hydraulics.WaterAt(units.Celsius(15)) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func ExampleWaterAt() {
	w, err := hydraulics.WaterAt(units.Celsius(60))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f kg/m3, %.3f mPa s, %.2f kPa\n", float64(w.Density), 1e3*float64(w.Viscosity),
		float64(w.VapourPressure)/1e3)
	// Output: 983.2 kg/m3, 0.466 mPa s, 19.95 kPa
}

func BenchmarkWaterAt(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		hydraulics.WaterAt(units.Celsius(15.5))
	}
}
