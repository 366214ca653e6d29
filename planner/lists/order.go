package lists

import "math"

// leastForSpares is the size of an order line from which spares are added.
const leastForSpares = 10

// Spare is how many plants are ordered beyond n: n x percent / 100, rounded up. Grafted and potted stock has none, nor has a
// line under 10.
func Spare(n int, percent float64, class StockClass) int {
	if n < leastForSpares || class == Grafted || class == Potted || !(percent > 0) {
		return 0
	}
	return int(math.Ceil(float64(n)*percent/100 - 1e-9))
}

// Bundles is how many bundles hold n plants; 0 for stock that is not sold in bundles (all but bare-root), and where no size of
// bundle is known.
func Bundles(n, bundle int, class StockClass) int {
	if class != BareRoot || bundle < 1 || n < 1 {
		return 0
	}
	return (n + bundle - 1) / bundle
}

// order makes the order list: one line for each species, cultivar, rootstock and stock over the whole holding.
func (m *maker) order(l *List) []Order {
	out := []Order{}
	for _, line := range m.sorted(m.whole) {
		class := StockKind(line.Stock)
		if line.Rootstock != "" && class != Potted {
			class = Grafted
		}
		o := Order{Item: line.Item, Plants: line.Plants, Class: class, Note: line.Note}
		o.Spare = Spare(o.Plants, l.SparePercent, class)
		o.Order = o.Plants + o.Spare
		o.Bundles = Bundles(o.Order, l.Bundle, class)
		out = append(out, o)
	}
	return out
}
