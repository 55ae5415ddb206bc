//go:build !linux

package main

// largePages is of use on Linux alone.
func largePages() {}
