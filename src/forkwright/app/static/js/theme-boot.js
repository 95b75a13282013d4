// Runs before the first paint, so that a dark screen never flashes white.
(() => {
  let theme = "auto";
  try { theme = JSON.parse(localStorage.getItem("forkwright.theme")) || "auto"; } catch { /* storage switched off, or not ours */ }
  const dark = theme === "dark" || (theme === "auto" && matchMedia("(prefers-color-scheme: dark)").matches);
  document.documentElement.dataset.theme = theme;
  document.documentElement.dataset.shade = dark ? "dark" : "light";
})();
