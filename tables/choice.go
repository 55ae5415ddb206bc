package tables

import (
	"strings"
	"unicode"
)

// Choice is one of a list to choose from: what is written, and what a form shows.
type Choice struct {
	ID    string `json:"id"`    // such as "floor-drain"
	Label string `json:"label"` // such as "Floor drain"
}

// Choices makes choices of ids of small words joined by hyphens.
func Choices(ids ...string) []Choice {
	list := make([]Choice, 0, len(ids))
	for _, id := range ids {
		label := []rune(strings.ReplaceAll(id, "-", " "))
		if len(label) > 0 {
			label[0] = unicode.ToUpper(label[0])
		}
		list = append(list, Choice{id, string(label)})
	}
	return list
}

// IDs returns what is written of each of the choices.
func IDs(list []Choice) []string {
	ids := make([]string, 0, len(list))
	for _, c := range list {
		ids = append(ids, c.ID)
	}
	return ids
}

// CodeInfo is a code of a shelf, for lists to choose from.
type CodeInfo struct {
	ID      string   `json:"id"`                // such as "ipc-2021"
	Title   string   `json:"title"`             // of the document
	Edition string   `json:"edition,omitempty"` // or its year
	Covers  []string `json:"covers"`            // what the tables on the shelf answer, in a few words each
}
