package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/trapweir/trapweir/examples/lesson"
	"github.com/trapweir/trapweir/internal/command"
)

// paperName is the file of a paper's problem lines, which -mark reads again.
const paperName = "paper.jsonl"

// writePapers writes a sheet and its key, or one of each for every student, and names the
// files. Nothing is written before all is made, and nothing over a file unless told.
func (s *settings) writePapers(e *lesson.Engine, names []string, in io.Reader, out io.Writer) error {
	if s.students == "" {
		lines, err := s.paperLines(e, s.quiz.Seed, names, in)
		if err != nil {
			return err
		}
		files, err := paperFiles(e, s.paper, s.title, lines)
		if err != nil {
			return err
		}
		return command.Write(files, s.force, out)
	}
	var all []command.File
	seen := map[string]string{}
	for student := range strings.SplitSeq(s.students, ",") {
		student = strings.TrimSpace(student)
		dir := lesson.FolderOf(student)
		if dir == "" {
			return fmt.Errorf("students: %q is no name", student)
		}
		if other, ok := seen[dir]; ok {
			return fmt.Errorf("students: %q and %q would share the directory %s", other, student, dir)
		}
		seen[dir] = student
		lines, err := s.paperLines(e, lesson.StudentSeed(s.quiz.Seed, student), nil, nil)
		if err != nil {
			return err
		}
		files, err := paperFiles(e, filepath.Join(s.paper, dir), s.title+", paper of "+student, lines)
		if err != nil {
			return err
		}
		all = append(all, files...)
	}
	return command.Write(all, s.force, out)
}

// paperLines returns the lines of a paper: those of a quiz, or those read.
func (s *settings) paperLines(e *lesson.Engine, seed uint64, names []string, in io.Reader) ([]byte, error) {
	var lines bytes.Buffer
	if s.quiz.Number != 0 {
		q := s.quiz
		q.Seed = seed
		err := e.Quiz(q, &lines, io.Discard)
		return lines.Bytes(), err
	}
	if len(names) == 0 {
		_, err := lines.ReadFrom(in)
		return lines.Bytes(), err
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		lines.Write(append(bytes.TrimRight(data, "\n"), '\n'))
	}
	return lines.Bytes(), nil
}

// paperFiles are a paper's lines, its sheet and its key, as text and as pages.
func paperFiles(e *lesson.Engine, dir, title string, lines []byte) ([]command.File, error) {
	sheet, key, err := e.Paper(title, lines)
	if err != nil {
		return nil, err
	}
	in := func(name, text string) command.File {
		return command.File{Name: filepath.Join(dir, name), Text: text}
	}
	return []command.File{
		in(paperName, string(lines)), in("sheet.txt", sheet), in("sheet.html", lesson.Page(title, sheet, nil)),
		in("key.txt", key), in("key.html", lesson.Page(title, key, nil)),
	}, nil
}

// mark prints the score sheet of a class for the paper of a directory, or for the papers of
// its students there. The status is 1 if an answer could not be marked.
func (s *settings) mark(e *lesson.Engine, out io.Writer) (status int, err error) {
	data, err := os.ReadFile(s.class)
	if err != nil {
		return 2, err
	}
	students, err := lesson.ParseClass(data)
	if err != nil {
		return 2, err
	}
	var sheet *lesson.ScoreSheet
	paper, err := os.ReadFile(filepath.Join(s.paper, paperName))
	switch {
	case err == nil:
		sheet, err = e.MarkClass(paper, students)
	case errors.Is(err, fs.ErrNotExist):
		papers := map[string][]byte{}
		for _, st := range students {
			if own, err := os.ReadFile(filepath.Join(s.paper, lesson.FolderOf(st.Name), paperName)); err == nil {
				papers[st.Name] = own
			}
		}
		if len(papers) == 0 {
			return 2, fmt.Errorf("%s: no %s, nor one of any student of the class: -paper writes them", s.paper, paperName)
		}
		sheet, err = e.MarkPapers(papers, students)
	}
	if err != nil {
		return 2, err
	}
	if _, err := io.WriteString(out, sheet.String()); err != nil {
		return 2, err
	}
	return min(sheet.Refused(), 1), nil
}
