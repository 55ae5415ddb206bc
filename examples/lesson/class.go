package lesson

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"maps"
	"slices"
	"strings"
	"unicode"
)

// Student is what one student handed in: per question, by the id of its line, the answers
// by name, as the kind "mark" takes them.
type Student struct {
	Name    string                                `json:"name"`
	Answers map[string]map[string]json.RawMessage `json:"answers"`

	refused []Verdict // of what could not be read
}

// ParseClass reads a class file, {"students":[{"name":"Ann","answers":{"q1":{"fall":"9 in"}}}]}.
// A student, or an answer of one, that is not written so is refused on the score sheet, where
// it stands; all others are marked.
func ParseClass(data []byte) ([]Student, error) {
	var file struct {
		Students []json.RawMessage `json:"students"`
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&file); err != nil {
		return nil, fmt.Errorf("class file: %w", err)
	}
	if d.More() {
		return nil, errors.New("class file: text follows the object")
	}
	if len(file.Students) == 0 {
		return nil, errors.New("class file: students: empty: give at least one")
	}
	students := make([]Student, len(file.Students))
	for i, raw := range file.Students {
		students[i] = readStudent(raw, i+1)
	}
	return students, nil
}

// readStudent reads the student at a place of a class file, counted from 1.
func readStudent(raw json.RawMessage, place int) Student {
	s := Student{Name: fmt.Sprintf("Student %d", place)}
	refuse := func(question, why string) {
		s.refused = append(s.refused, Verdict{Question: question, Refused: why})
	}
	var fields map[string]json.RawMessage
	if json.Unmarshal(raw, &fields) != nil || fields == nil {
		refuse("", `not an object such as {"name":"Ann","answers":{"q1":{"fall":"9 in"}}}`)
		return s
	}
	for _, field := range slices.Sorted(maps.Keys(fields)) {
		switch field {
		case "name":
			var name string
			if json.Unmarshal(fields[field], &name) != nil || name == "" {
				refuse("", "name: not a text")
				continue
			}
			s.Name = name
		case "answers":
			var answers map[string]json.RawMessage
			if json.Unmarshal(fields[field], &answers) != nil {
				refuse("", `answers: not an object such as {"q1":{"fall":"9 in"}}`)
				continue
			}
			s.Answers = make(map[string]map[string]json.RawMessage, len(answers))
			for _, id := range slices.Sorted(maps.Keys(answers)) {
				var given map[string]json.RawMessage
				if json.Unmarshal(answers[id], &given) != nil {
					refuse(id, `not an object such as {"fall":"9 in"}`)
					continue
				}
				s.Answers[id] = given
			}
		default:
			refuse("", field+": unknown field")
		}
	}
	return s
}

// Verdict is what is said of one answer.
type Verdict struct {
	Question string `json:"question"`
	Answer   string `json:"answer"`
	Given    string `json:"given"`
	Right    bool   `json:"right"`
	Missing  bool   `json:"missing,omitempty"` // asked for and not given, beside answers that are
	Likely   string `json:"likely,omitempty"`  // the slip that explains it
	Refused  string `json:"refused,omitempty"` // why it could not be marked; it counts as wrong
}

// Marked is one student's result. A question is right if every answer that it asks for is
// there and right.
type Marked struct {
	Name     string    `json:"name"`
	Right    int       `json:"right"`
	Verdicts []Verdict `json:"verdicts"`
}

// ScoreSheet is the result of a class.
type ScoreSheet struct {
	Questions []string `json:"questions"` // ids of the lines, in order
	Students  []Marked `json:"students"`
}

// Refused counts the answers that could not be marked.
func (s *ScoreSheet) Refused() (n int) {
	for _, m := range s.Students {
		for _, v := range m.Verdicts {
			if v.Refused != "" {
				n++
			}
		}
	}
	return n
}

// MarkClass marks what the students of a class handed in for a paper of problem lines.
// What cannot be read of one student is refused where it stands, and all else is marked.
// An error is one of the paper.
func (e *Engine) MarkClass(paper []byte, students []Student) (*ScoreSheet, error) {
	lines, err := e.paperLines(paper)
	if err != nil {
		return nil, err
	}
	sheet := &ScoreSheet{Questions: idsOf(lines)}
	for _, s := range students {
		sheet.Students = append(sheet.Students, e.markStudent(lines, s))
	}
	return sheet, nil
}

// MarkPapers is [Engine.MarkClass] where each student, by name, had a paper of problem lines
// of their own, with the same ids. Who has none is said to.
func (e *Engine) MarkPapers(papers map[string][]byte, students []Student) (*ScoreSheet, error) {
	sheet := &ScoreSheet{}
	for _, s := range students {
		paper, ok := papers[s.Name]
		if !ok {
			sheet.Students = append(sheet.Students, Marked{Name: s.Name,
				Verdicts: append(slices.Clone(s.refused), Verdict{Refused: "no paper of this student is there"})})
			continue
		}
		lines, err := e.paperLines(paper)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.Name, err)
		}
		for _, id := range idsOf(lines) {
			if !slices.Contains(sheet.Questions, id) {
				sheet.Questions = append(sheet.Questions, id)
			}
		}
		sheet.Students = append(sheet.Students, e.markStudent(lines, s))
	}
	return sheet, nil
}

// StudentSeed is the seed of a student's own paper: that of the class and the name together.
func StudentSeed(seed uint64, student string) uint64 {
	h := fnv.New64a()
	fmt.Fprintf(h, "%d %s", seed, student)
	return h.Sum64()
}

// FolderOf is a student's name as that of a folder, "" if nothing of it can stand in one.
func FolderOf(student string) string {
	return strings.Trim(strings.Map(func(r rune) rune {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			return unicode.ToLower(r)
		case r == ' ' || r == '-' || r == '_' || r == '\'':
			return '-'
		}
		return -1
	}, student), "-")
}

func idsOf(lines []paperLine) (ids []string) {
	for _, l := range lines {
		ids = append(ids, l.id)
	}
	return ids
}

// markStudent marks one student by the lines of a paper.
func (e *Engine) markStudent(lines []paperLine, s Student) Marked {
	m, ids := Marked{Name: s.Name, Verdicts: slices.Clone(s.refused)}, idsOf(lines)
	for _, l := range lines {
		given := s.Answers[l.id]
		all := len(given) > 0
		for _, name := range slices.Sorted(maps.Keys(given)) {
			v := e.markOne(l.text, name, given[name])
			v.Question = l.id
			all = all && v.Right
			m.Verdicts = append(m.Verdicts, v)
		}
		for _, name := range l.names {
			if _, ok := given[name]; !ok && len(given) > 0 {
				all = false
				m.Verdicts = append(m.Verdicts, Verdict{Question: l.id, Answer: name, Missing: true})
			}
		}
		if all {
			m.Right++
		}
	}
	for _, id := range slices.Sorted(maps.Keys(s.Answers)) {
		if !slices.Contains(ids, id) {
			m.Verdicts = append(m.Verdicts, Verdict{Question: id, Refused: "the paper has no such question"})
		}
	}
	return m
}

// markOne marks one answer to one problem.
func (e *Engine) markOne(problem []byte, name string, given json.RawMessage) Verdict {
	v := Verdict{Answer: name, Given: strings.Trim(string(given), `"`)}
	key, _ := json.Marshal(name)
	line := slices.Concat([]byte(`{"ask":"mark","problem":`), problem, []byte(`,"student":{`), key, []byte(":"), given,
		[]byte("}}"))
	p, err := solveLine(line, e.with(Options{}))
	if err != nil {
		v.Refused = strings.TrimPrefix(err.Error(), "student: ")
		return v
	}
	v.Right = true
	for i := range p.items {
		v.judge(&p.items[i])
	}
	return v
}

// judge takes in what the marking says of an answer, or of a part of one.
func (v *Verdict) judge(said *value) {
	if !said.isVerdict() {
		for i := range said.items {
			v.judge(&said.items[i])
		}
		return
	}
	right, likely := said.verdict()
	v.Right = v.Right && right
	if likely != slipNone {
		v.Likely = cmp.Or(v.Likely, likely)
	}
}

// String writes the sheet: who has how many right, what went wrong where, and which slips
// the class made how often.
func (s *ScoreSheet) String() string {
	var b strings.Builder
	slips, wrong := map[string]int{}, map[string]int{}
	for _, m := range s.Students {
		fmt.Fprintf(&b, "%s: %d of %d right\n", m.Name, m.Right, len(s.Questions))
		missed := map[string]bool{}
		for _, v := range m.Verdicts {
			switch {
			case v.Refused != "":
				what := strings.TrimSpace(v.Question + " " + v.Answer + " " + v.Given)
				if what != "" {
					what += ": "
				}
				fmt.Fprintf(&b, "  %sNOT MARKED: %s\n", what, v.Refused)
			case v.Missing:
				fmt.Fprintf(&b, "  %s %s: not answered\n", v.Question, v.Answer)
			case !v.Right:
				fmt.Fprintf(&b, "  %s %s: %s is wrong", v.Question, v.Answer, v.Given)
				if v.Likely != "" {
					fmt.Fprintf(&b, "; a usual slip gives it: %s", v.Likely)
					slips[v.Likely]++
				}
				b.WriteByte('\n')
			default:
				continue
			}
			if !missed[v.Question] {
				missed[v.Question] = true
				wrong[v.Question]++
			}
		}
		for _, id := range s.Questions {
			if !slices.ContainsFunc(m.Verdicts, func(v Verdict) bool { return v.Question == id }) {
				fmt.Fprintf(&b, "  %s: not answered\n", id)
				wrong[id]++
			}
		}
	}
	b.WriteString("\nWrong or not answered, by question:\n")
	for _, id := range s.Questions {
		fmt.Fprintf(&b, "  %s: %d of %d\n", id, wrong[id], len(s.Students))
	}
	if len(slips) == 0 {
		b.WriteString("No usual slip was made.\n")
		return b.String()
	}
	b.WriteString("Slips of the class:\n")
	names := slices.Sorted(maps.Keys(slips))
	slices.SortStableFunc(names, func(a, c string) int { return slips[c] - slips[a] })
	for _, name := range names {
		fmt.Fprintf(&b, "  %d x %s\n", slips[name], name)
	}
	return b.String()
}
