// Small values in the browser's storage. Where storage is switched off the page still works, and says so once.
let told = false;

export function recall(key, otherwise = null) {
  try {
    const text = localStorage.getItem(key);
    return text === null ? otherwise : JSON.parse(text);
  } catch {
    return otherwise;
  }
}

export function keep(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
    return true;
  } catch {
    if (!told) document.dispatchEvent(new CustomEvent("bench:cannot-keep"));
    told = true;
    return false;
  }
}
