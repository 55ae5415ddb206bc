module github.com/trapweir/trapweir

go 1.26
