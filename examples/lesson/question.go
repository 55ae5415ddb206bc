package lesson

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
)

// taken are what a line takes where it does not say, in US and in metric units, and the words
// of each.
var taken = [...]struct{ mark, us, si string }{
	{"@cold", "60 degF", "15.6 degC"}, {"@hot", "120 degF", "48.9 degC"}, {"@air", "14.7 psi", "101.3 kPa"},
	{"@bulk", "317600 psi", "2.19 GPa"}, {"@foot", "foot", "meter"}, {"@feet", "feet", "meters"},
}

// prose writes a problem as a textbook does: what is given, in sentences, and the question.
func (e *Engine) prose(line *strictjson.Value) string {
	kind := member(line, "ask").Text
	told := map[string]bool{"id": true, "ask": true, "units": true, "round": true}
	t := telling{e: e, kind: kind, line: line, told: told}
	said := wordsOf(kind)
	text, question := strings.TrimSpace(t.tell(said.told)), t.tell(said.asked)
	var more []string // fields that the telling has no place for
	for i, name := range line.Names {
		if !told[name] {
			more = append(more, strings.ReplaceAll(name, "_", " ")+" "+e.spoken(kind, name, &line.Items[i]))
		}
	}
	if more != nil {
		text += " Given too: " + strings.Join(more, ", ") + "."
	}
	text += " " + question
	for _, t := range taken {
		word := t.us
		if member(line, "units").Text == "si" {
			word = t.si
		}
		text = strings.ReplaceAll(text, t.mark, word)
	}
	return strings.ToUpper(text[:min(1, len(text))]) + text[min(1, len(text)):]
}

// telling puts the fields of one problem into words.
type telling struct {
	e    *Engine
	kind string
	line *strictjson.Value
	told map[string]bool
}

// tell writes a template.
func (t *telling) tell(template string) string {
	var b strings.Builder
	for rest := template; rest != ""; {
		open := strings.IndexByte(rest, '[')
		if open < 0 {
			b.WriteString(t.fill(rest))
			break
		}
		b.WriteString(t.fill(rest[:open]))
		end, depth := open, 0
		for ; end < len(rest); end++ {
			if rest[end] == '[' {
				depth++
			} else if rest[end] == ']' {
				if depth--; depth == 0 {
					break
				}
			}
		}
		b.WriteString(t.part(rest[open+1 : end]))
		rest = rest[end+1:]
	}
	return b.String()
}

// part writes a part of a template that has a condition, "" if it is not met.
func (t *telling) part(part string) string {
	if mark := part[0]; mark == '?' || mark == '!' {
		field, text, _ := strings.Cut(part[1:], ":")
		if (find(t.line, field) != nil) != (mark == '?') {
			return ""
		}
		return t.tell(text)
	}
	if !given(part, t.line) {
		return ""
	}
	return t.tell(part)
}

// given reports whether a problem has every field of a part of its telling.
func given(part string, line *strictjson.Value) bool {
	for _, field := range strings.Split(part, "{")[1:] {
		name, _, _ := strings.Cut(field, "}")
		if find(line, name) == nil {
			return false
		}
	}
	return true
}

// fill puts the fields of a problem into a part of its telling.
func (t *telling) fill(part string) string {
	var b strings.Builder
	for {
		before, rest, ok := strings.Cut(part, "{")
		b.WriteString(before)
		if !ok {
			return b.String()
		}
		name, after, _ := strings.Cut(rest, "}")
		if v := find(t.line, name); v != nil {
			b.WriteString(t.e.spoken(t.kind, name, v))
			t.told[name] = true
		}
		part = after
	}
}

// words are how the words of a line are said, those of one kind before those of all.
var words = map[string]string{
	"hazen-williams": "Hazen-Williams", "darcy-weisbach": "Darcy-Weisbach", "tank": "flush tanks",
	"valve": "flush valves", "drain-size branch": "a branch", "drain-size stack": "a stack",
	"stack-interval": "one branch interval of a stack", "drain": "a building drain",
	"vent-size individual": "an individual vent", "vent-size stack": "a vent stack or stack vent",
}

// spoken is a field as a sentence has it.
func (e *Engine) spoken(kind, name string, v *strictjson.Value) string {
	switch name {
	case "code":
		return e.shelf.title(v.Text)
	case "problem":
		return e.prose(v)
	case "fixtures":
		return listed(v, fixtureWords)
	case "runs":
		return listed(v, runWords)
	case "losses":
		return listed(v, func(l *strictjson.Value) string {
			return "a " + member(l, "name").Text + " that takes " + member(l, "loss").Text
		})
	case "groups":
		return listed(v, func(g *strictjson.Value) string {
			return fmt.Sprintf("%s of %s, each with a probability of %s", member(g, "count").Text, member(g, "flow").Text,
				member(g, "probability").Text)
		})
	case "nodes":
		return listed(v, nodeWords)
	case "pipes":
		return listed(v, pipeWords)
	case "water_closets", "intervals":
		thing := map[string]string{"water_closets": " water closet", "intervals": " branch interval"}[name]
		if v.Text != "1" {
			thing += "s"
		}
		return v.Text + thing
	case "fill":
		if s := fillWords[v.Text]; kind == "stack" && s != "" {
			return s
		}
	case "alpha":
		if v.Kind == strictjson.Number {
			return v.Text + " 1/K"
		}
	case "grade_across":
		if rise, ok := strings.CutPrefix(v.Text, "-"); ok {
			return "rises " + rise
		}
		return "falls " + v.Text
	case "rise":
		if kind == "pressure-budget" {
			if below, ok := strings.CutPrefix(v.Text, "-"); ok {
				return below + " below"
			}
			return v.Text + " above"
		}
	case "ventilated", "below_ground":
		word := strings.ReplaceAll(name, "_", " ")
		if v.Text == "false" {
			return "not " + word
		}
		return word
	case "method", "system", "part":
		if w := cmp.Or(words[kind+" "+v.Text], words[v.Text]); w != "" {
			return w
		}
	}
	if v.Kind == strictjson.Array {
		return listed(v, givenText)
	}
	return givenText(v)
}

// fillWords are the fills that stacks are rated at, as the trade says them.
var fillWords = map[string]string{"0.25": "1/4", "0.291666666667": "7/24", "0.333333333333": "1/3"}

func runWords(r *strictjson.Value) string {
	s := member(r, "length").Text + " at " + member(r, "grade").Text
	if d := member(r, "drop").Text; d != "" {
		s += " with a drop of " + d + " at its upper end"
	}
	return s
}

// nodeWords says a node of a network: "main with a head of 123 ft", "A, which draws 9 gpm".
func nodeWords(n *strictjson.Value) string {
	id := member(n, "id").Text
	if head := member(n, "head").Text; head != "" {
		return id + " with a head of " + head
	}
	if q := member(n, "demand").Text; q != "" {
		return id + ", which draws " + q
	}
	return id
}

// pipeWords says a pipe of a network, or one of those that lie side by side.
func pipeWords(p *strictjson.Value) string {
	s := "one"
	if id := member(p, "id").Text; id != "" {
		s = id + " from " + member(p, "from").Text + " to " + member(p, "to").Text
	}
	s += fmt.Sprintf(", %s long and of %s bore", member(p, "length").Text, member(p, "bore").Text)
	if c := member(p, "c").Text; c != "" {
		return s + ", C " + c
	}
	return s + ", roughness " + member(p, "roughness").Text
}

// fixtureWords says a fixture of a list: "4 water-closet, private, tank, 1.6 gal".
func fixtureWords(f *strictjson.Value) string {
	n := member(f, "count").Text
	what, make := makeOf(member(f, "fixture").Text)
	if n != "1" {
		what = several(what)
	}
	s := n + " " + what + make
	var more []string
	for i, name := range f.Names {
		if name != "fixture" && name != "count" {
			more = append(more, f.Items[i].Text)
		}
	}
	if more != nil {
		s += " (" + strings.Join(more, ", ") + ")"
	}
	return s
}

// makeOf parts an id into what the fixture is and of what make: a shower, of 2 to 3 heads.
func makeOf(id string) (what, make string) {
	words := strings.Split(id, "-")
	for k, word := range words {
		switch {
		case k == 0:
		case word == "to" || word == "each":
			return strings.Join(words[:k], " "), " " + strings.Join(words[k:], " ")
		case word != "" && word[0] >= '0' && word[0] <= '9':
			return strings.Join(words[:k], " "), " of " + strings.Join(words[k:], " ")
		}
	}
	return strings.Join(words, " "), ""
}

// several is the plural of a fixture; a name that is one already stays.
func several(s string) string {
	switch {
	case strings.HasSuffix(s, "y"):
		return s[:len(s)-1] + "ies"
	case strings.HasSuffix(s, "sh"), strings.HasSuffix(s, "x"):
		return s + "es"
	case strings.HasSuffix(s, "s"):
		return s
	}
	return s + "s"
}

// listed joins the items of a list as a sentence does.
func listed(v *strictjson.Value, say func(*strictjson.Value) string) string {
	parts := make([]string, len(v.Items))
	for i := range v.Items {
		parts[i] = say(&v.Items[i])
	}
	switch n := len(parts); n {
	case 0:
		return "nothing"
	case 1:
		return parts[0]
	default:
		sep := ", "
		if strings.Contains(strings.Join(parts, ""), ", ") {
			sep = "; "
		}
		last := " and "
		if sep == "; " {
			last = "; and "
		}
		return strings.Join(parts[:n-1], sep) + last + parts[n-1]
	}
}
