//go:build js

package main

import "syscall/js"

// main hands judge(layout, code) to the page: JSON, or {error} where there is no answer.
func main() {
	js.Global().Set("judge", js.FuncOf(func(_ js.Value, args []js.Value) any {
		if len(args) != 2 {
			return map[string]any{"error": "judge takes a layout and a code"}
		}
		text, err := judge([]byte(args[0].String()), args[1].String())
		if err != nil {
			return map[string]any{"error": err.Error()}
		}
		return map[string]any{"json": string(text)}
	}))
	select {} // the page ends it
}
