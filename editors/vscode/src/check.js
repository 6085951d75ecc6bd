// The task that checks every plan of a folder. Its findings go to the
// Problems of plans that are not open; the open ones are the server's.
'use strict';
const vscode = require('vscode');

const matchers = ['$crownweir-correction', '$crownweir-caution', '$crownweir-advice'];

// task checks a plan, a folder or a pattern, from the workspace's folder. Its
// terminal is shown, because the last lines say how much was judged and that
// it is no approval.
function task(folder, what, program) {
  // findings are no failure of the task: VS Code would say that it could not be launched
  const args = ['check', '--quiet', '--color', 'never', '--progress', 'never', '--fail-on', 'never', '--', what];
  const execution = new vscode.ProcessExecution(program, args, { cwd: folder.uri.fsPath });
  const made = new vscode.Task({ type: 'crownweir', check: what }, folder, `check ${what === '.' ? 'all plans' : what}`, 'crownweir', execution, matchers);
  made.presentationOptions = { reveal: vscode.TaskRevealKind.Always, focus: false, clear: true };
  return made;
}

// provider offers the task where tasks are listed and reads it from tasks.json.
function provider(program) {
  return {
    provideTasks() {
      const found = program();
      return found ? (vscode.workspace.workspaceFolders ?? []).map((folder) => task(folder, '.', found)) : [];
    },
    resolveTask(given) {
      const found = program();
      const folder = typeof given.scope === 'object' ? given.scope : vscode.workspace.workspaceFolders?.[0];
      if (!found || !folder) return undefined;
      const made = task(folder, given.definition.check, found);
      made.definition = given.definition; // what is resolved must keep its identity
      return made;
    },
  };
}

module.exports = { task, provider };
