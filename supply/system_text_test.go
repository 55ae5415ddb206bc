package supply

import "testing"

// A system that is no system leaves what was there.
func TestSystemText(t *testing.T) {
	for _, s := range []System{TankSystem, ValveSystem} {
		text, err := s.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		for _, was := range []System{TankSystem, ValveSystem} {
			got := was
			if err := got.UnmarshalText(text); err != nil || got != s {
				t.Errorf("%s over %v reads as %v, %v", text, was, got, err)
			}
			if got = was; got.UnmarshalText([]byte("pump")) == nil || got != was {
				t.Errorf("pump over %v reads as %v", was, got)
			}
		}
	}
}
