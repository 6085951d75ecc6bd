// Where the program is that judges plans: the setting goes first, then what
// comes with the extension, then the PATH. Nothing is ever downloaded.
'use strict';
const path = require('node:path');

// find gives the program's path, or what to tell the user. It takes what it
// looks at: the setting, the extension's folder, the environment, and a
// function that tells whether a path can be run.
function find({ setting, extensionPath, env, home, platform, canRun }) {
  const windows = platform === 'win32';
  const { join, isAbsolute } = windows ? path.win32 : path.posix;
  const file = windows ? 'crownweir.exe' : 'crownweir';
  if (setting) {
    const named = setting === '~' || setting.startsWith('~/') ? join(home, setting.slice(1)) : setting;
    if (named.includes('/') || (windows && named.includes('\\'))) {
      if (!isAbsolute(named)) return { problem: `weir.server.path is ${setting}; write the whole path` };
      return canRun(named) ? { program: named } : { problem: `weir.server.path is ${setting}, and no program is there` };
    }
    const found = onPath(windows && !/\.exe$/i.test(named) ? `${named}.exe` : named);
    return found ? { program: found } : { problem: `weir.server.path is ${setting}, and no program of that name is on the PATH` };
  }
  const bundled = join(extensionPath, 'bin', file);
  if (canRun(bundled)) return { program: bundled };
  const found = onPath(file);
  return found ? { program: found } : { problem: 'crownweir was not found; install it, or name it in the setting weir.server.path' };

  function onPath(name) {
    const folders = (env.PATH ?? env.Path ?? '').split(windows ? ';' : ':');
    return folders.filter((folder) => isAbsolute(folder)).map((folder) => join(folder, name)).find(canRun);
  }
}

module.exports = { find };
