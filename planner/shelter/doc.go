// Package shelter works out how much of the open wind is left behind windbreaks, hedges, rows, screens, walls and buildings: at a
// point, over beds, and as a field over the holding.
//
// For each wind the point looks upwind to 35 heights and downwind to 5. Each barrier that is met along the wind gives the published
// function of distance and porosity (Left); of several the least counts, as the authors of the function do. Ends and gaps are sharp:
// a point whose ray passes an end or goes through an opening gets nothing from that barrier. Orchards, groves and single trees are
// no barriers here: no published function of theirs is known to us. Fences are none either.
//
// The function is that of friction velocity, taken for wind speed near the ground (derived). It knows level ground.
package shelter
