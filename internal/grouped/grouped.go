// Package grouped puts things together by a key, in the order in which the keys first came.
package grouped

import "iter"

// By are things put together by a key. The zero value is ready for use.
type By[K comparable, V any] struct {
	Lists [][]V
	keys  []K
	at    map[K]int
}

// Add puts a thing to those of its key.
func (g *By[K, V]) Add(k K, v V) {
	n, seen := g.at[k]
	if !seen {
		if n = len(g.keys); n == 0 {
			g.at = map[K]int{}
		}
		g.at[k], g.keys, g.Lists = n, append(g.keys, k), append(g.Lists, nil)
	}
	g.Lists[n] = append(g.Lists[n], v)
}

// All returns each key with what was put together by it.
func (g *By[K, V]) All() iter.Seq2[K, []V] {
	return func(yield func(K, []V) bool) {
		for i, k := range g.keys {
			if !yield(k, g.Lists[i]) {
				return
			}
		}
	}
}
