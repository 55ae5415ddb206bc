package job

import "errors"

// joinFaults gathers the errors of the parts of a file.
type joinFaults []error

func (j *joinFaults) add(err error) {
	if err != nil {
		*j = append(*j, err)
	}
}

func (j joinFaults) err() error { return errors.Join(j...) }
