/** Wraps a function so that it runs once for each argument object and its result is remembered as long as that object lives. */
export function oncePer<Key extends object, Value>(make: (key: Key) => Value): (key: Key) => Value {
  const known = new WeakMap<Key, Value>();
  return (key) => {
    const made = known.get(key) ?? make(key);
    known.set(key, made);
    return made;
  };
}
