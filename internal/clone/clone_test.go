package clone_test

import (
	"testing"

	"github.com/trapweir/trapweir/internal/clone"
)

func TestOf(t *testing.T) {
	x := 1
	c := clone.Of(&x)
	x = 2
	if *c != 1 || clone.Of[int](nil) != nil {
		t.Error(*c)
	}
}
