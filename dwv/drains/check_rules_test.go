package drains

import (
	"testing"

	"github.com/trapweir/trapweir/internal/finding/findingtest"
)

// TestRulesDeclared: every rule that a check judges by is declared, and every rule
// declared is judged by.
func TestRulesDeclared(t *testing.T) { findingtest.Declared(t, ".", Rules()) }
