package main

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

// TestLargePages: the system knows of 192 MB that are to lie in large pages; it marks such memory
// with "hg" in its account of the process, in kB.
func TestLargePages(t *testing.T) {
	if _, err := os.Stat("/sys/kernel/mm/transparent_hugepage"); err != nil {
		t.Skip("the system has no large pages")
	}
	largePages()
	account, err := os.ReadFile("/proc/self/smaps")
	if err != nil {
		t.Skip("no account of the memory: ", err)
	}
	var size, sum int
	for line := range strings.Lines(string(account)) {
		_, _ = fmt.Sscanf(line, "Size: %d kB", &size)
		if flags, ok := strings.CutPrefix(line, "VmFlags:"); ok && strings.Contains(flags, " hg") {
			sum += size
		}
	}
	if sum < 192<<10 {
		t.Errorf("%d kB are to lie in large pages", sum)
	}
}
