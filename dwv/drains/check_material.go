package drains

import (
	"fmt"
	"strings"
)

// someRuns counts runs and keeps those with the least ids, to name a few of many
// without holding them all.
type someRuns struct {
	count int
	ids   [shownRuns + 1]string // ascending, the first count of them
}

// shownRuns is how many of many runs a text names.
const shownRuns = 3

func (s *someRuns) add(id string) {
	at := min(s.count, len(s.ids))
	s.count++
	if at == len(s.ids) {
		if at--; id >= s.ids[at] {
			return
		}
	}
	for ; at > 0 && id < s.ids[at-1]; at-- {
		s.ids[at] = s.ids[at-1]
	}
	s.ids[at] = id
}

// String names the runs in the order of their ids; of more than four it names three
// and tells how many more there are.
func (s *someRuns) String() string {
	if s.count > len(s.ids) {
		return fmt.Sprintf("%s and %d more runs", strings.Join(s.ids[:shownRuns], ", "), s.count-shownRuns)
	}
	return strings.Join(s.ids[:s.count], ", ")
}
