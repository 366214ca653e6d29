// Package testdata holds the demo holding inside the program: an invented place of some 3.5 hectares with deliberate faults.
package testdata

import _ "embed" // for the file below

// Demo is the plan file of the demo holding. It must not be altered.
//
//go:embed demo.geojson
var Demo []byte
