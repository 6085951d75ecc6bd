// Solves networks with EPANET. Standard input holds a list of networks in SI,
// standard output gets a list of what EPANET finds: heads of nodes in metres,
// flows of links in cubic metres a second.
//
//   node compare.mjs < networks.json
import { readFileSync } from "node:fs";
import { LinkProperty, NodeProperty, Project, Workspace } from "epanet-js";

// EPANET's viscosity option is a multiple of 1.1e-5 square feet a second.
const viscosityUnit = 1.1e-5 * 0.3048 ** 2;

function input(network) {
  const part = { JUNCTIONS: [], RESERVOIRS: [], PIPES: [], VALVES: [], CURVES: [] };
  network.nodes.forEach((node, i) => {
    if (node.source) part.RESERVOIRS.push(`n${i} ${node.head}`);
    else part.JUNCTIONS.push(`n${i} ${node.height} ${node.demand * 1000}`);
  });
  network.links.forEach((link, i) => {
    const ends = `l${i} n${link.from} n${link.to}`;
    const bore = link.bore * 1000;
    if (link.regulator) {
      part.VALVES.push(`${ends} ${bore} PRV ${link.set} ${link.minor}`);
      return;
    }
    if (link.fixed > 0) {
      // whole from a thousandth of a litre a second, as the network solver has it
      part.CURVES.push(`c${i} 0 0`, `c${i} 0.001 ${link.fixed}`, `c${i} 1000 ${link.fixed}`);
      part.VALVES.push(`${ends} 50 GPV c${i} 0`);
      return;
    }
    const wall = network.darcy ? link.rough * 1000 : link.c;
    part.PIPES.push(`${ends} ${link.length} ${bore} ${wall} ${link.minor} ${link.check ? "CV" : "Open"}`);
  });
  const sections = Object.entries(part).map(([name, rows]) => `[${name}]\n${rows.join("\n")}\n`);
  return `${sections.join("\n")}
[OPTIONS]
Units LPS
Headloss ${network.darcy ? "D-W" : "H-W"}
Viscosity ${network.viscosity / viscosityUnit}
Trials 500
CHECKFREQ 2
MAXCHECK 400
DAMPLIMIT 0.01
Accuracy 0.00000001
HEADERROR 0.000000001
FLOWCHANGE 0.000000001
Unbalanced Stop

[END]
`;
}

const workspace = new Workspace();
await workspace.loadModule();

function solve(network, i) {
  const project = new Project(workspace);
  const name = `network${i}`;
  workspace.writeFile(`${name}.inp`, input(network));
  project.open(`${name}.inp`, `${name}.rpt`, `${name}.out`);
  project.openH();
  project.initH(10); // no flows kept from before, none saved
  project.runH();
  const heads = network.nodes.map((_, k) => project.getNodeValue(project.getNodeIndex(`n${k}`), NodeProperty.Head));
  const flows = network.links.map(
    (_, k) => project.getLinkValue(project.getLinkIndex(`l${k}`), LinkProperty.Flow) / 1000,
  );
  project.closeH();
  project.close();
  return { heads, flows };
}

const networks = JSON.parse(readFileSync(0, "utf8"));
process.stdout.write(JSON.stringify(networks.map(solve)));
