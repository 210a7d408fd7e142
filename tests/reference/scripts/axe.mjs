// Runs axe-core over a page in jsdom, and prints what it found as JSON.
import { readFileSync } from "node:fs";
import axe from "axe-core";
import { JSDOM, VirtualConsole } from "jsdom";

const page = new JSDOM(readFileSync(process.argv[2], "utf8"), { runScripts: "outside-only", virtualConsole: new VirtualConsole() });
page.window.eval(axe.source);
// Colours need a browser that lays the page out.
const found = await page.window.axe.run({ rules: { "color-contrast": { enabled: false } } });
const violations = found.violations.map((one) => ({ id: one.id, nodes: one.nodes.map((node) => node.html) }));
process.stdout.write(JSON.stringify({ passes: found.passes.length, violations }));
