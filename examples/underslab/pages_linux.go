package main

import (
	"runtime"
	"syscall"
)

// largePages lets the memory of a report lie in pages of 2 MB. Linux hands out each page when it is
// first touched, and one after the other in 4 kB that took more than half the time of a large report.
// So all that a report takes before the collector begins is asked for in one piece and left to the
// collector, which hands it out from then on. Where there are no such pages all goes on as before.
func largePages() {
	_ = syscall.Madvise(make([]byte, 192<<20), syscall.MADV_HUGEPAGE)
	runtime.GC()
}
