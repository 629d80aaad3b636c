// Merging: what two tabs made of one job since they last agreed becomes one job again, item by item and key by key.

/** Compare plain values, whatever the order of keys. */
export function same(one, other) {
  if (one === other) return true;
  if (typeof one !== "object" || typeof other !== "object" || one === null || other === null) return false;
  if (Array.isArray(one) !== Array.isArray(other)) return false;
  const keys = Object.keys(one).filter((key) => one[key] !== undefined);
  const others = Object.keys(other).filter((key) => other[key] !== undefined);
  return keys.length === others.length && keys.every((key) => same(one[key], other[key]));
}

/**
 * Merge what became of `base` in two places. A change made in one of them is taken over, and so is a deletion, unless
 * the other place changed what is deleted: what was typed stays. Where both changed one value, `first` says which of
 * the two stands ("ours" or "theirs"), and `clash` is told of it with its path.
 */
export function merge(base, ours, theirs, first, clash = () => {}, path = []) {
  if (same(ours, theirs) || same(theirs, base)) return ours;
  if (same(ours, base)) return theirs;
  if (ours === undefined) return theirs;
  if (theirs === undefined) return ours;
  if (isList(ours) && isList(theirs)) return mergeLists(isList(base) ? base : [], ours, theirs, first, clash, path);
  if (isTable(ours) && isTable(theirs)) return mergeTables(isTable(base) ? base : {}, ours, theirs, first, clash, path);
  clash(path, ours, theirs);
  return first === "ours" ? ours : theirs;
}

function mergeTables(base, ours, theirs, first, clash, path) {
  const merged = {};
  for (const key of new Set([...Object.keys(theirs), ...Object.keys(ours)])) {
    const value = merge(base[key], ours[key], theirs[key], first, clash, [...path, key]);
    if (value !== undefined) merged[key] = value;
  }
  return merged;
}

// Ids begin with the time at which an item was made: both tabs come to the same order.
function mergeLists(base, ours, theirs, first, clash, path) {
  const [was, mine, other] = [base, ours, theirs].map((list) => new Map(list.map((item) => [item.id, item])));
  return [...new Set([...other.keys(), ...mine.keys()])]
    .sort((one, two) => (one < two ? -1 : 1))
    .map((id) => merge(was.get(id), mine.get(id), other.get(id), first, clash, [...path, id]))
    .filter((item) => item !== undefined);
}

/** Make a value the same as another in place, so that whoever holds a table or an item of it holds the right one. */
export function adopt(target, source) {
  for (const key of Object.keys(target)) if (!(key in source)) delete target[key];
  for (const [key, value] of Object.entries(source)) {
    const now = target[key];
    if (isList(now) && isList(value)) adoptList(now, value);
    else if (isTable(now) && isTable(value)) adopt(now, value);
    else if (!same(now, value)) target[key] = structuredClone(value);
  }
}

function adoptList(target, source) {
  const now = new Map(target.map((item) => [item.id, item]));
  const items = source.map((item) => {
    const held = now.get(item.id);
    if (!held) return structuredClone(item);
    adopt(held, item);
    return held;
  });
  target.splice(0, target.length, ...items);
}

/** A list of items that have an id; other lists are one value. */
function isList(value) {
  return Array.isArray(value) && value.every((one) => isPlain(one) && "id" in one);
}

/** A table of values that are merged one by one. What was typed is one value, with its unit. */
function isTable(value) {
  return isPlain(value) && !("text" in value);
}

function isPlain(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
