// Package geo measures and divides a flat piece of ground.
//
// Everything here is in metres on a local frame: a point is [east, north], a
// bare float64 is a length in metres, an area is in square metres, a bearing is
// in degrees clockwise from north, a chainage runs along a line from its start,
// and an offset is positive to the left of the direction of drawing. Longitude
// and latitude meet metres in Frame and nowhere else.
//
// The package knows no plants and no files. Its types are those of
// github.com/paulmach/orb; the spherical measures of that module (orb/geo) are
// up to 0.3 % out and are not used. Functions do not alter their arguments, and
// the same input always gives the same output in the same order.
package geo
