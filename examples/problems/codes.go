package main

// codes holds the code tables that problems name, loaded when first asked for.
type codes struct{}
