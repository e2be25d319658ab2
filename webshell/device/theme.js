// The look of the page: the theme that was chosen, with more contrast where the system asks for it.

/** @param {import("../contract.d.ts").Preferences["theme"]} chosen */
export function showTheme(chosen) {
  const more = chosen === "day" && matchMedia("(prefers-contrast: more)").matches;
  const dark = matchMedia("(prefers-color-scheme: dark)").matches;
  document.documentElement.dataset.theme = more ? (dark ? "under-car" : "sun") : chosen;
  const ground = getComputedStyle(document.documentElement).getPropertyValue("--ground");
  document.querySelector("meta[name=theme-color]")?.setAttribute("content", ground);
}
