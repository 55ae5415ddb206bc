package hydraulics_test

import "flag"

var _ = flag.Bool("update", false, "write the accounts of published values, testdata/proof*.csv")
