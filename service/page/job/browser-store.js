// The browser's stores. Every use goes through here, since a browser may forbid them or have no room left in them.

/** A store by the name that the browser gives it; none of its functions ever raises. */
function storeOf(name) {
  const safely = (use, otherwise) => {
    try {
      return use(window[name]);
    } catch {
      return otherwise;
    }
  };
  return {
    read: (key) => safely((store) => store.getItem(key), null),
    remove: (key) => safely((store) => store.removeItem(key), undefined),
    keys: () => safely((store) => Array.from({ length: store.length }, (_, number) => store.key(number)), []),
    /** Keep a text; returns null, or why it could not be kept: "full" or "forbidden". */
    write: (key, text) => {
      try {
        window[name].setItem(key, text);
        return null;
      } catch (error) {
        return error?.name === "QuotaExceededError" ? "full" : "forbidden";
      }
    },
  };
}

/** Kept until it is taken away, and shared by all tabs. */
export const lasting = storeOf("localStorage");

/** Kept as long as the tab, over reloads. */
export const passing = storeOf("sessionStorage");
