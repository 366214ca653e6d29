package interchange

import (
	"math"
	"strconv"

	"github.com/paulmach/orb"
)

// Round9 rounds degrees to the 9 decimals that coordinates are written with: 0.1 mm on the ground.
func Round9(deg float64) float64 { return math.Round(deg*1e9) / 1e9 }

// AppendDegrees writes degrees with up to 9 decimals, without idle zeros.
func AppendDegrees(b []byte, deg float64) []byte {
	n := len(b)
	b = strconv.AppendFloat(b, deg, 'f', 9, 64)
	for b[len(b)-1] == '0' {
		b = b[:len(b)-1]
	}
	if b[len(b)-1] == '.' {
		b = b[:len(b)-1]
	}
	if string(b[n:]) == "-0" {
		return append(b[:n], '0')
	}
	return b
}

// AppendPosition writes a position, longitude first.
func AppendPosition(b []byte, p orb.Point) []byte {
	b = AppendDegrees(append(b, '['), p[0])
	b = AppendDegrees(append(b, ", "...), p[1])
	return append(b, ']')
}
