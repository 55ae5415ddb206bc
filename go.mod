module github.com/trapweir/trapweir

go 1.26

require (
	github.com/google/go-cmp v0.7.0
	github.com/shopspring/decimal v1.6.0
)

require gonum.org/v1/gonum v0.17.0
