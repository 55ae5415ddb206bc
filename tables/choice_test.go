package tables

import (
	"slices"
	"testing"
)

func TestChoices(t *testing.T) {
	want := []Choice{{"floor-drain", "Floor drain"}, {"urinal", "Urinal"}, {"", ""}}
	if got := IDs(want); !slices.Equal(got, []string{"floor-drain", "urinal", ""}) {
		t.Errorf("ids %v", got)
	}
	if got := Choices("floor-drain", "urinal", ""); !slices.Equal(got, want) {
		t.Errorf("got %v", got)
	}
}
