// What the editors' colours are compared with: the model's own listing of a
// plan, one token a line, as a class for each character.
import { readFileSync } from 'node:fs';

const here = new URL('.', import.meta.url);
export const looks = JSON.parse(readFileSync(new URL('looks.json', here), 'utf8'));
export const sample = new URL('colours.weir', here).pathname;
export const golden = new URL('colours.golden', here).pathname;

// charsOf is a plan's lines, each a list of its code points.
export function charsOf(source) {
  return source.split('\n').map((line) => [...line.replace(/\r$/, '')]);
}

// expected is the class of every character, '' where it has none.
export function expected(source, listing) {
  const classes = charsOf(source).map((chars) => chars.map(() => ''));
  for (const entry of listing.split('\n').filter(Boolean)) {
    const [, line, start, end, name] = entry.match(/^(\d+):(\d+)-(\d+) (\S+) /);
    for (let i = Number(start); i <= Number(end); i++) classes[line - 1][i - 1] = name;
  }
  return classes;
}

// compare tells the first characters that are coloured otherwise; blanks and
// the marks between items do not count.
export function compare(name, source, listing, found) {
  const wanted = expected(source, listing);
  const chars = charsOf(source);
  const wrong = [];
  let seen = 0;
  chars.forEach((line, row) => line.forEach((char, column) => {
    const want = wanted[row][column];
    if (want === '' && /[\s,:]/.test(char)) return;
    if (/\s/.test(char) && want !== 'text') return;
    seen++;
    const got = found[row]?.[column] ?? '';
    if (got !== want) wrong.push(`${name}:${row + 1}:${column + 1}: ${JSON.stringify(char)} is ${got || 'plain'}, not ${want || 'plain'}: ${line.join('')}`);
  }));
  return { wrong, seen };
}

// report says what compare found, and lets the process end with it.
export function report(title, results) {
  const wrong = results.flatMap((r) => r.wrong);
  const seen = results.reduce((n, r) => n + r.seen, 0);
  for (const line of wrong.slice(0, 20)) console.error(line);
  if (wrong.length > 0 || seen < 1000) {
    console.error(`FAIL ${title}: ${wrong.length} of ${seen} characters are coloured otherwise`);
    process.exitCode = 1;
    return;
  }
  console.log(`ok ${title}: ${seen} characters`);
}
