// node colours.mjs HIGHLIGHTER   the Kate syntax by KDE's own highlighter, over
// the sample. A theme that gives each style a colour of its own tells which
// one it took.
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { compare, golden, looks, report, sample } from '../../testdata/colours.mjs';

const highlighter = process.argv[2] ?? 'kate-syntax-highlighter';
const work = mkdtempSync(join(tmpdir(), 'weir-kate-'));
try {
  const data = join(work, 'org.kde.syntax-highlighting');
  mkdirSync(join(data, 'syntax'), { recursive: true });
  mkdirSync(join(data, 'themes'));
  copyFileSync(new URL('../weir.xml', import.meta.url).pathname, join(data, 'syntax/weir.xml'));
  const styles = { Normal: '#000000', SpecialChar: '#0000fe' };
  looks.forEach((l, i) => { styles[l.style] = `#0000${(16 + i).toString(16)}`; });
  const textStyles = Object.fromEntries(Object.entries(styles).map(([name, colour]) => [name, { 'text-color': colour }]));
  writeFileSync(join(data, 'themes/telling.theme'), JSON.stringify({
    metadata: { name: 'telling', revision: 1 }, 'text-styles': textStyles, 'editor-colors': { BackgroundColor: '#ffffff' },
  }));
  const html = execFileSync(highlighter, ['--syntax', 'Weir', '--theme', 'telling', '--output-format', 'html', sample], {
    env: { ...process.env, XDG_DATA_HOME: work, QT_QPA_PLATFORM: 'offscreen' }, encoding: 'utf8', stdio: ['ignore', 'pipe', 'inherit'],
  });
  const body = html.slice(html.indexOf('<pre>') + 5, html.indexOf('</pre>')).replace(/^\n/, '');
  const found = [[]];
  let now = '';
  for (const [piece, colour] of body.matchAll(/<span style="color:#0000([0-9a-f]{2});[^>]*>|<[^>]*>|&[a-z]+;|[\s\S]/gu)) {
    if (piece.startsWith('<')) now = !colour ? '' : colour === 'fe' ? 'text' : looks[parseInt(colour, 16) - 16]?.class ?? '';
    else if (piece === '\n') found.push([]);
    else found.at(-1).push(now);
  }
  report('Kate syntax', [compare('colours.weir', readFileSync(sample, 'utf8'), readFileSync(golden, 'utf8'), found)]);
} finally {
  rmSync(work, { recursive: true });
}
