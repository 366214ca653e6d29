// A small vocabulary with a property of every form, and a small sheet, for the tests.

export const prop = (name, type, more = {}) => ({ name, type, unit: '', default: null, else: '', allowed: [], least: null, most: null, help: `help of ${name}`, ...more });

export const vocabulary = {
  common: [prop('name', 'text', { else: 'none' }), prop('notes', 'text'), prop('status', 'choice', { allowed: ['existing', 'planned'] }), prop('planted', 'winter', { else: 'none' }), prop('area', 'id', { else: 'where it lies' })],
  kinds: [
    { kind: 'parcel', title: 'field', help: 'a piece of land', geometries: ['Polygon', 'MultiPolygon'], grows: false, props: [
      prop('moisture', 'choice', { allowed: ['dry', 'moist', 'wet'], default: 'moist' }), prop('ph', 'number', { least: 3, most: 9.5, else: 'unknown' }), prop('sward', 'sward'), prop('grazed_by', 'choices', { allowed: ['cattle', 'sheep'], default: [] })] },
    { kind: 'bed', title: 'bed', help: 'cultivated', geometries: ['Polygon'], grows: false, props: [prop('use', 'choice', { allowed: ['vegetables', 'fruit'], default: 'vegetables' }), prop('light_hours', 'number', { unit: 'hours', default: 6, least: 0, most: 24 })] },
    { kind: 'building', title: 'building', help: 'its outline', geometries: ['Polygon'], grows: false, props: [prop('height_m', 'number', { unit: 'm', default: 5, least: 0.1, most: 60 }), prop('dwelling', 'yes or no', { default: false })] },
    { kind: 'fence', title: 'fence', help: 'a fence', geometries: ['LineString'], grows: false, props: [prop('stockproof', 'yes or no', { default: true })] },
    { kind: 'gap', title: 'gap', help: 'a break', geometries: ['LineString', 'Point'], grows: false, props: [prop('width_m', 'number', { unit: 'm', least: 0.1, most: 100 })] },
    { kind: 'gateway', title: 'gateway', help: 'kept open', geometries: ['Point'], grows: false, props: [] },
    { kind: 'hedge', title: 'hedge', help: 'a hedge', geometries: ['LineString', 'MultiLineString'], grows: true, props: [
      prop('species', 'species', { else: 'unknown' }), prop('mix', 'mix', { else: 'unknown' }), prop('rows', 'integer', { default: 2, least: 1, most: 6 }), prop('height_m', 'number', { unit: 'm', least: 0.1, most: 60, else: 'planned: 2' }), prop('last_cut', 'winter'), prop('cut_in', 'cuts')] },
    { kind: 'windbreak', title: 'windbreak', help: 'a belt', geometries: ['LineString'], grows: true, props: [prop('rows', 'windbreak rows'), prop('protects', 'ids')] },
    { kind: 'orchard', title: 'orchard', help: 'fruit', geometries: ['Polygon'], grows: true, props: [prop('trees', 'trees'), prop('bearing_deg', 'bearing', { unit: 'degrees', default: 'auto', least: 0, most: 360 }), prop('row_spacing_m', 'number', { unit: 'm', least: 0.1, most: 50, else: 'as spacing_m' })] },
    { kind: 'plant', title: 'single tree', help: 'one tree', geometries: ['Point'], grows: true, props: [prop('species', 'species')] },
  ],
  holding: [prop('name', 'text', { default: 'Unnamed holding' }), prop('wind_from_deg', 'bearing', { unit: 'degrees', default: 240 }), prop('uses', 'choices', { allowed: ['logs', 'mulch'], default: ['logs', 'mulch'] })],
  species: [
    { id: 'crataegus-monogyna', botanical: 'Crataegus monogyna', english: ['hawthorn', 'whitethorn'], purposes: ['hedge'] },
    { id: 'hippophae', botanical: 'Hippophae rhamnoides', english: ['sea buckthorn'], purposes: null },
    { id: 'quercus-robur', botanical: 'Quercus robur', english: ['pedunculate oak', 'English oak'], purposes: ['grove'] },
    { id: 'quercus-ilex', botanical: 'Quercus ilex', english: ['holm oak'], purposes: [] },
  ],
  rules: [{ id: 'hedge.gap', title: 'Gaps in a hedge' }], rule_sets: ['general'],
};

export const square = (x, y, side) => ({ type: 'Polygon', coordinates: [[[x, y], [x + side, y], [x + side, y + side], [x, y + side], [x, y]]] });

export const thing = (id, kind, geometry, properties = {}, more = {}) => ({ id, kind, label: properties.name ?? id, status: 'existing', sound: true, geometry, properties: { kind, ...properties }, defaults: {}, plants: 0, plants_in_area: 0, area: '', openings: [], rows: [], ...more });

export const finding = (n, more = {}) => ({ n, key: `k${n}`, rule: 'hedge.gap', severity: 'warn', message: `Message ${n}.`, features: ['h'], measured: null, limit: null, unit: '', count: 1, source: 'somebody, 2020', confidence: 'published', accepted: null, cautions: [], x: 1, y: 2, metres: [], ...more });

export const sheet = (features, findings = [], more = {}) => ({ holding: {}, name: 'Larkmoor', rule_set: 'general', year: 0, wind_from_deg: 240, features, findings, species: [], plants: [], counts: {}, planned: 0, existing: 0, hedge_m: 0, parcels_m2: 0, loosened: [], ...more });
