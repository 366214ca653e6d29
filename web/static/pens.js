export function mountPens() {}
