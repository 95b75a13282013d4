// What the columns of a source mean, kept in this browser and recognised by the headers of the next file.
import { keep, recall } from "../keep.js";

const KEY = "forkwright.mappings";
const MOST = 40;

export const keptMappings = () => recall(KEY, []);

export function keepMapping(table) {
  keep(KEY, [table, ...keptMappings().filter((one) => one.source !== table.source)].slice(0, MOST));
}

export function forgetMapping(source) {
  keep(KEY, keptMappings().filter((one) => one.source !== source));
}

// The latest kept mapping all of whose columns stand in the file; a file without one gets the server's proposal.
export function mappingFor(headers) {
  return keptMappings().find((table) => Object.values(table.columns).every((use) => headers.includes(use.column))) ?? null;
}
