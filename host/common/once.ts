/** A function that makes something of an object once and remembers it as long as the object lives: compiling a schema costs more than using it. */
export function oncePer<Key extends object, Value>(make: (key: Key) => Value): (key: Key) => Value {
  const known = new WeakMap<Key, Value>();
  return (key) => {
    const made = known.get(key) ?? make(key);
    known.set(key, made);
    return made;
  };
}
