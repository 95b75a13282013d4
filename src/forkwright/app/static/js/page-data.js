// What the server laid into the page: units, palette, and the page's own data.
const read = (id) => JSON.parse(document.getElementById(id).textContent);

export const benchData = read("bench-data");
export const pageData = read("page-data");
