package lists

import (
	"bytes"
	"encoding/json"
	"math"
	"slices"
	"strings"

	"quickthorn/planner/species"
)

// A Cost is what the user's own prices make of the list.
type Cost struct {
	Currency string  `json:"currency"` // as the user wrote it
	Total    float64 `json:"total"`    // of the lines that have a price
	Unpriced int     `json:"unpriced"` // lines of the order list and the sundries that have none
}

// PriceHelp says how prices are written in a plan.
const PriceHelp = `prices is an object of the user's own prices. Each key says what is priced, each value is the price of one: ` +
	`{"currency": "GBP", "hawthorn": 0.62, "holly | cell-grown": 1.10, "apple | MM106": 18.50, "spiral 0.6 m": 0.25, "mulch": 20, "fence": 7.50}. ` +
	`A key is a species by any of its names, a cultivar, a rootstock or a stock, or several of them with a bar between; the key that says most holds. ` +
	`Sundries are priced by their item or kind: per piece, per m3 of mulch, per m of fence. Whatever has no price stays without one.`

// prices are the user's own prices, read once.
type prices struct {
	currency string
	rows     []priceRow // by key
	faults   []string   // what could not be read
}

type priceRow struct {
	key   string
	terms []string
	each  float64
}

// readPrices reads the `prices` of a holding: an object of numbers, and a text `currency`.
func readPrices(raw json.RawMessage) (prices, bool) {
	var p prices
	if len(raw) == 0 || bytes.Equal(bytes.TrimSpace(raw), []byte("null")) {
		return p, false
	}
	var members map[string]json.RawMessage
	if json.Unmarshal(raw, &members) != nil {
		p.faults = append(p.faults, "The prices of the holding could not be read: they are an object such as {\"hawthorn\": 0.62}. Nothing is priced.")
		return p, true
	}
	for _, key := range sortedKeys(members) {
		if key == "currency" && json.Unmarshal(members[key], &p.currency) == nil {
			p.currency = tidy(p.currency)
			continue
		}
		var each *float64
		if json.Unmarshal(members[key], &each) != nil || each == nil || *each < 0 || math.IsInf(*each, 0) {
			p.faults = append(p.faults, "The price of "+quoted(tidy(key))+" is not a number of 0 or more. It is left out.")
			continue
		}
		var terms []string
		for _, t := range strings.Split(key, "|") {
			if t = foldText(t); t != "" {
				terms = append(terms, t)
			}
		}
		if len(terms) > 0 {
			p.rows = append(p.rows, priceRow{key: key, terms: terms, each: *each})
		}
	}
	return p, true
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// price fills in the user's prices. Nothing is priced that the user has not priced.
func (l *List) price(raw json.RawMessage) {
	p, stated := readPrices(raw)
	if !stated {
		return
	}
	l.Notes = append(l.Notes, p.faults...)
	l.Cost = &Cost{Currency: p.currency}
	add := func(v *float64) {
		if v == nil {
			l.Cost.Unpriced++
			return
		}
		l.Cost.Total = round(l.Cost.Total+*v, 2)
	}
	terms := make([][]*species.Species, len(p.rows))
	for i, r := range p.rows {
		for _, t := range r.terms {
			terms[i] = append(terms[i], l.names.species(t))
		}
	}
	for i := range l.Order {
		o := &l.Order[i]
		best := -1
		for k, r := range p.rows {
			if s := r.says(o.Item, terms[k]); s > 0 && (best < 0 || s > p.rows[best].says(o.Item, terms[best])) {
				best = k
			}
		}
		if best >= 0 {
			o.PriceEach, o.Price = costOf(p.rows[best].each, float64(o.Order))
		}
		add(o.Price)
	}
	for i := range l.Sundries {
		p.sundry(&l.Sundries[i])
		add(l.Sundries[i].Price)
	}
	for i := range l.Areas {
		for k := range l.Areas[i].Sundries {
			p.sundry(&l.Areas[i].Sundries[k])
		}
	}
	for k := range l.Outside.Sundries {
		p.sundry(&l.Outside.Sundries[k])
	}
}

func costOf(each, quantity float64) (unit, whole *float64) {
	w := round(each*quantity, 2)
	return &each, &w
}

// says is how much a key says of an order line, 0 where it does not fit: every term has to be the line's species, cultivar,
// rootstock or stock. A cultivar says more than a species, that more than a rootstock, that more than a stock.
func (r priceRow) says(i Item, kinds []*species.Species) int {
	sum := 0
	for k, t := range r.terms {
		switch {
		case i.Cultivar != "" && foldName(t) == foldName(i.Cultivar):
			sum += 8
		case t == foldText(i.Species) || i.English != "" && t == foldText(i.English) || kinds[k] != nil && kinds[k].Botanical == i.Species:
			sum += 4
		case i.Rootstock != "" && foldName(t) == foldName(i.Rootstock):
			sum += 2
		case i.Stock != "" && t == foldText(i.Stock):
			sum++
		default:
			return 0
		}
	}
	return sum
}

// sundry prices one line by its kind, else by its item. A stock guard is never priced as a guard of
// another kind, nor a sheet as chip.
func (p prices) sundry(s *Sundry) {
	names := []string{s.Kind, s.Item}
	for _, apart := range []string{"stock guard", "sheet"} {
		if strings.HasPrefix(s.Kind, apart) {
			names = []string{s.Kind, apart}
		}
	}
	for _, name := range names {
		for _, r := range p.rows {
			if name != "" && len(r.terms) == 1 && r.terms[0] == foldText(name) {
				s.PriceEach, s.Price = costOf(r.each, s.Quantity)
				return
			}
		}
	}
}
