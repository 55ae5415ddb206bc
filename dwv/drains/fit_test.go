package drains

import (
	"context"
	"testing"
)

func TestX(t *testing.T) {
	code := townCode(t, "ipc-2021")
	l := mustLayout(t, "hall.json", code)
	s := mustSize(t, l, code)
	list, err := s.Limits(context.Background(), FitOptions{})
	if err != nil { t.Fatal(err) }
	for _, x := range list {
		t.Logf("%s %s found %v: %v %v (now %v %v) depth %v stops %q", x.Kind, x.Place, x.Found, x.Length, x.Grade, x.Now, x.NowGrade, x.Depth, x.Stops)
		for _, b := range x.Binds { t.Logf("   binds %v", b) }
		for _, b := range x.Questions { t.Logf("   asks %v", b) }
		for _, b := range x.Regardless { t.Logf("   regardless %v", b) }
	}
}
