package answer

import (
	"strings"
	"sync"
)

// meaningOf is what a word of the notation means, in one sentence; "" for
// words that say it themselves.
func meaningOf(word string) string { return meanings()[word] }

// meaningOfAttr is what a word means as an attribute, setting or mark.
func meaningOfAttr(word string) string {
	if say, ok := meanings()["attr "+word]; ok {
		return say
	}
	return meaningOf(word)
}

// meaningIn is what a word means as a value of a key: the `combination` of a
// control is none of a venting.
func meaningIn(key, word string) string {
	if say, ok := meanings()[key+" "+word]; ok {
		return say
	}
	return meaningOf(word)
}

// meanings is read only.
var meanings = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	for _, line := range strings.Split(strings.TrimSpace(meaningLines), "\n") {
		word, say, _ := strings.Cut(line, ": ")
		for _, w := range strings.Split(word, ", ") {
			out[w] = say
		}
	}
	return out
})

// meaningLines holds a line for a word, or for several that mean alike.
const meaningLines = `
plan: the plan's title
code: the adopted code book, with a city's amendments over it
occupancy: who uses the fixtures where a room or a fixture does not say
scope: what this plan draws; without it, the systems that have a run
default: the material or the fall of runs that write none, or a stop valve at every fixture supply
method: how the water supply is sized: by the code's table, or by a calculation
climate: the winter design temperature, for frost at vent terminals
dwelling: one dwelling with its baths and bedrooms
include: another file of levels, rooms, typicals and notes, inside the plan's folder tree
note: a remark for the reader, which changes nothing
building: one of several buildings on the lot
level: a finished floor and its elevation; a range of levels takes every
room: a room on a level; its use decides what it must have
fixture: a fixture with its kind; it is connected by runs that begin or end at its name
main: a water source with its elevation and static pressure
outfall: where the building sewer ends
terminal: where a vent ends in the air: through a roof, or in an admittance valve
heater: a water heater; cold runs end there and hot ones begin
manifold: where many supplies part from one
ejector: a sump with a pump, from which a discharge begins
interceptor: what holds back grease, solids, lint, hair, plaster, oil, sand or amalgam
object: something that pipes must keep clear of
existing: work that stays: a point where runs begin or end, with its load
attr existing, run existing: work that stays, and is not corrected
drain: waste by gravity, written from the fixture towards the sewer
sewer: the building sewer, towards the outfall
vent: air, written from the drain up to the open air
service: water from the main to the building
cold: cold water, from the source to the outlet
hot: hot water, from the heater to the outlet
return: hot water back to the heater
discharge: what a pump lifts, from an ejector into a drain
indirect: waste that ends above a receptor, through an air gap or break
typical: lines that are written once and placed many times, up to end
end: closes a typical
place: puts a typical somewhere under a name; its points are reached as NAME.POINT
except: what one copy has instead of what its typical has
meet: several names for one place, without pipe between
inspection: the stage inspected, to which found and test lines belong
found: what was measured or seen on site; it stands in for what the plan says
test: a test that was witnessed, with its head and how long it held
waive: lets a finding stand, with the reason; it is still listed, as waived
fitting: the fitting at a point; on a point, pins its height too
to: where the run ends
leg to: as far as a height, a point, the roof or what closes
at: a height, a pair x,y or a triple x,y,z
invert: the height of the pipe's lowest inside
on: where or when it is
waive on: what the waiver speaks of
room on: the level it is on
of: the building or dwelling it belongs to
as: the tag of a run, or the names of placed copies
in: the room it stands in
suit: whatever closes between what is known
every: the step from one to the next
above: counts the height up from a level or a point
below: counts the height down from a level or a point
facing: turns the copy; a typical is drawn facing north
opposite-hand: mirrors east and west
across: the level offset of a slanting leg, instead of its length
fall: drop in inches a foot in the direction of flow; on a vent, back to its drain
drop: the leg's whole drop, instead of its fall
picks-up: the pipe passes this point, whatever joins or leaves there
enters: how the run enters the junction it ends at: top, side or heel
rim: the flood rim above the floor, over which the fixture overflows
outlet: where the first run begins, above the floor
attr supply: the stub-out of its water, above the floor
supply: the water supply
head: the shower head above the floor
attr trap: the trap that its maker asks
trap: a water seal; bare it has the run's size, and the trap arm begins at its weir
tail: size of the tailpiece
units: drainage units that stand in for the code's table
water-units: supply units that stand in for the code's table
flow: the flow it asks or gives
flush: how it flushes: by a tank or by a valve, with the volume
side: from its centre line to the nearest wall or partition
centres: from its centre to the next fixture's
front: clear space before it
floor: the floor of a shower receptor, length by length
cleanout floor: it opens in the floor
limit: the hottest water it lets out
control: what keeps a bather from being scalded
attr hot: on which side the hot water is
compartments: how many bowls it has
apart: how far apart its compartments' outlets are
protected: what keeps its water from flowing back into the supply
spout: what its spout is: threaded for a hose, a hand spray, or plain
waste: what its waste carries that a drain must not get
hazard: how harmful what could flow back would be
primer: what keeps the seal of a seldom-used trap full
disposer: a food waste disposer hangs under it
private, public, assembly: who uses it, which decides its fixture units
residual: pressure left at the flow of a flow test
manhole: cover of the next manhole upstream of the outfall
rise: how far a terminal stands over the roof
opening: distance to the nearest window or other opening
lot-line: distance to the lot line
storage: water that the heater holds
temperature: what the heater is set to
first-hour: hot water it gives in the first hour
relief: a temperature and pressure relief valve is there
expansion-tank: takes up the growth of water as it is heated
inlet: height of the inlet
solids: the largest solid that it passes
discharge-valves: the valves on its discharge
volume: water that it holds
trapped: it is a trap by itself
rolled: degrees by which the fitting is rolled about its pipe
on-back: the fitting lies on its back
closets: water closets upstream
spare: what the owner says it may still take
plate: a shield plate covers it
strap: distance between supports
through: the stud or joist it passes, by its nominal size
hole: the hole bored for it
edge: from the pipe to the nearest face of the framing
near: measured clearance to a source of heat or light
buried: cover over it
trench: the trench it shares with others
shelf: how far it lies above and beside what shares its trench
outside: it lies out of doors
insulated: it is insulated
barrier: a barrier device that keeps sewer gas back where the seal dries out
cleanout: an opening through which the drain is rodded
two-way: it reaches both ways
wall: it opens in a wall
grade: it opens at grade
clear: clear space before it
reach: how far it stands from where one gets to it
valve: a valve of its kind
full-port: as wide open as its pipe
gate: a gate valve
stop: a stop valve at a fixture
check: lets water one way only
meter: a water meter of its size
regulator: holds the pressure behind it at its setting
backflow: an assembly that keeps used water out of the supply
double-check: two check valves in a row
reduced-pressure: two check valves with a relief between
pressure-vacuum: lets air in, and may stand under pressure
atmospheric-vacuum: lets air in, and may not stand under pressure
hose-vacuum-breaker: a vacuum breaker on the hose thread
vacuum-breaker: lets air in so that nothing is drawn back
arrester: takes up the shock where a valve closes quickly
softener: a water softener in the line
filter: a filter in the line
strainer: a strainer in the line
backwater-valve: keeps the sewer from flowing back into the building
relief-valve: opens where pressure or temperature grows too high
flange: the flange a closet stands on
air-gap: waste or water falls free through air, over the rim below
air-break: waste ends in a receptor below its rim, without being joined
loss: pressure that a device takes, as its maker says
tank: it flushes from a tank
pressure-balance: holds the temperature where pressures change
thermostatic: holds the temperature by itself
circuit: one vent for a level branch of several traps
combination: a pipe so wide that waste and air share it
control combination: both ways at once
single-stack: a stack that vents by its own width
waste-stack: a stack that vents the waste above it, without closets
wet: a drain that is another fixture's vent
island: a vent that loops up, comes down again and returns to the drain
table: the code's table governs
engineered: a calculation governs
drainage: drains and sewers
vents: the vents
water: the water supply
test water: with water
test air: with air
held: it held for the time
lost: it did not hold
septic: it ends in a septic tank
roof: a roof and its height
attr roof, terminal roof: it passes through the roof
food: food is prepared or sold there
laundry: clothes are washed there
restroom: a toilet room
clinic: patients are treated there
salon: hair is cut there
plant: machines stand there
system: claims a method of venting for this run and all upstream of it
use: what the room is for
ceiling: its height over the floor
admittance: an air admittance valve, in place of a way through the roof
with: a fitting, turn or device that is there
without: a device that is not there
size: the nominal size as found
length: the length as found
arm: the trap arm from weir to vent, as found
stack: a stack to tie into
existing drain: a drain to tie into
existing supply: a water pipe that stays
existing vent: a vent to join
existing vents: terminals that are not drawn
interceptor grease, interceptor solids, interceptor lint, interceptor hair, interceptor plaster, interceptor oil, interceptor sand, interceptor amalgam: what it holds back
for: how long the test was held
winter: the design temperature in winter
by: between a length and a width; the files of amendments
because: the reason, for whoever reviews it
approved: the record of the approval
until: the last day of the approval
baths: how many baths it has
bedrooms: how many bedrooms it has
abs: plastic pipe for drains and vents
pvc: plastic pipe for drains and vents
pvc-80: plastic pipe with a heavy wall
cast-iron: iron pipe for drains and vents, hubless
copper-dwv: thin copper tube for drains and vents
galvanized: steel pipe
copper-k: copper tube with a heavy wall
copper-l: copper tube with a middle wall
copper-m: copper tube with a thin wall
pex: plastic tubing for water, cross-linked
pe-rt: plastic tubing for water, of raised temperature resistance
cpvc: plastic pipe for water
hdpe: plastic pipe, welded
clay: clay pipe for sewers
`
