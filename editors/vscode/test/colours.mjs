// node colours.mjs FOLDER   the TextMate grammar, by the library that VS Code
// reads it with, over every plan that the model's listing was written for.
import { readFileSync, readdirSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { charsOf, compare, looks, report } from '../../testdata/colours.mjs';

const require = createRequire(process.env.NODE_MODULES_OF ?? import.meta.url);
const { Registry, parseRawGrammar, INITIAL } = require('vscode-textmate');
const { loadWASM, OnigScanner, OnigString } = require('vscode-oniguruma');

await loadWASM(readFileSync(require.resolve('vscode-oniguruma/release/onig.wasm')));
const file = new URL('../syntaxes/weir.tmLanguage.json', import.meta.url).pathname;
const registry = new Registry({
  onigLib: Promise.resolve({ createOnigScanner: (patterns) => new OnigScanner(patterns), createOnigString: (s) => new OnigString(s) }),
  loadGrammar: async () => parseRawGrammar(readFileSync(file, 'utf8'), file),
});
const grammar = await registry.loadGrammar('source.weir');
const classOf = Object.fromEntries(looks.map((l) => [`${l.scope}.weir`, l.class]));

function classesOf(source) {
  let stack = INITIAL;
  return charsOf(source).map((chars) => {
    const line = chars.join('');
    const classes = [];
    const { tokens, ruleStack } = grammar.tokenizeLine(line, stack);
    stack = ruleStack;
    for (const token of tokens) {
      const found = token.scopes.map((scope) => classOf[scope]).filter(Boolean).at(-1) ?? '';
      classes.push(...[...line.slice(token.startIndex, token.endIndex)].map(() => found));
    }
    return classes;
  });
}

const folder = process.argv[2];
const plans = readdirSync(folder).filter((name) => name.endsWith('.weir'));
if (plans.length < 50) throw new Error(`${plans.length} plans in ${folder}; write them with go test ./editors/grammars -run TestDump -dump FOLDER`);
report(`TextMate grammar over ${plans.length} plans`, plans.map((name) => {
  const source = readFileSync(join(folder, name), 'utf8');
  return compare(name, source, readFileSync(join(folder, name.replace(/weir$/, 'golden')), 'utf8'), classesOf(source));
}));
