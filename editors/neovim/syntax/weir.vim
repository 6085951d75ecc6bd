" Written by editors/grammars from the notation's words; do not edit.
" Language: Weir, a notation for plumbing plans
if exists("b:current_syntax") | finish | endif
let s:cpo_save = &cpo
set cpo&vim
syn case match
syn sync maxlines=200
syn match weirName /\%([ \t,:]\)\@1<=\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/
syn match weirValue /\%([ \t,:]\)\@1<=\%(circuit\|single-stack\|waste-stack\|wet\|island\|food\|laundry\|restroom\|clinic\|salon\|plant\|2x4\|2x6\|2x8\|2x10\|2x12\|tank\|pressure-balance\|thermostatic\|left\|right\|hose-vacuum-breaker\|atmospheric-vacuum\|pressure-vacuum\|double-check\|reduced-pressure\|none\|hose-thread\|hand-spray\|plain\|grease\|plaster\|lint\|hair\|oil\|sand\|amalgam\|low\|high\|private\|public\|assembly\|septic\|full-port\|gate\|stop\|check\|stud\|joist\|drainage\|vents\|water\|table\|engineered\|stack\|air\|held\|lost\)\%([ \t,:#]\|$\)\@=/
syn match weirAttribute /\%([ \t,:]\)\@1<=\%(baths\|bedrooms\|rim\|outlet\|supply\|head\|tail\|units\|water-units\|flow\|flush\|side\|centres\|front\|floor\|limit\|control\|compartments\|apart\|protected\|spout\|waste\|hazard\|disposer\|existing\|residual\|manhole\|roof\|admittance\|rise\|opening\|lot-line\|storage\|temperature\|first-hour\|relief\|inlet\|solids\|discharge-valves\|volume\|trapped\|rolled\|on-back\|closets\|spare\|plate\|strap\|through\|hole\|edge\|near\|buried\|trench\|shelf\|outside\|insulated\|size\|fall\|length\|arm\|barrier\|two-way\|wall\|grade\|clear\|reach\|drop\|picks-up\|enters\|top\|heel\|system\|winter\|use\|ceiling\|opposite-hand\|facing\)\%([ \t,:#]\|$\)\@=/
syn match weirJoint /\%([ \t,:]\)\@1<=\%(at\|suit\|every\|no\|by\|for\|with\|without\|because\|approved\|until\|amended\|across\|invert\)\%([ \t,:#]\|$\)\@=/
syn match weirJoint /\%([ \t,:]\)\@1<=\%(to\|in\|on\|of\|as\|above\|below\)\%([ \t,:#]\|$\)\@=/ nextgroup=weirReference skipwhite
syn match weirUnsolved /\%([ \t,:]\)\@1<=\%(unknown\)\%([ \t,:#]\|$\)\@=/
syn match weirSystem /\%([ \t,:]\)\@1<=\%(drain\|sewer\|vent\|service\|cold\|hot\|return\|discharge\|indirect\)\%([ \t,:#]\|$\)\@=/
syn match weirKind /\%([ \t,:]\)\@1<=\%(lavatory\|kitchen-sink\|laundry-tub\|clothes-washer\|dishwasher\|water-closet\|bidet\|urinal\|bathtub\|tub-shower\|shower\|floor-drain\|floor-sink\|service-sink\|bar-sink\|hand-sink\|sink\|prep-sink\|three-compartment-sink\|drinking-fountain\|hose-bibb\|ice-maker\|food-waste-disposer\|dental-unit\|shampoo-sink\|water-softener\|equipment\|lav\|ks\|cw\|dw\|wc\|ur\|tub\|sh\|fd\|hb\)\%([ \t,:#]\|$\)\@=/
syn match weirMaterial /\%([ \t,:]\)\@1<=\%(abs\|pvc\|pvc-80\|cast-iron\|copper-dwv\|galvanized\|copper-k\|copper-l\|copper-m\|pex\|pe-rt\|cpvc\|hdpe\|clay\)\%([ \t,:#]\|$\)\@=/
syn match weirDirection /\%([ \t,:]\)\@1<=\%(north\|south\|east\|west\|northeast\|northwest\|southeast\|southwest\|up\|down\|up-north\|up-south\|up-east\|up-west\|up-northeast\|up-northwest\|up-southeast\|up-southwest\|down-north\|down-south\|down-east\|down-west\|down-northeast\|down-northwest\|down-southeast\|down-southwest\|over\)\%([ \t,:#]\|$\)\@=/
syn match weirDevice /\%([ \t,:]\)\@1<=\%(trap\|cleanout\|valve\|meter\|regulator\|backflow\|vacuum-breaker\|arrester\|softener\|filter\|strainer\|backwater-valve\|expansion-tank\|relief-valve\|flange\|air-gap\|air-break\|primer\|interceptor\|loss\|quarter-bend\|long-sweep\|short-sweep\|eighth-bend\|sixteenth-bend\|closet-bend\|return-bend\|sanitary-tee\|wye\|combination\|double-sanitary-tee\|double-wye\|double-fixture-fitting\|vent-tee\|tapped-tee\|test-tee\|closet-flange\|reducer\)\%([ \t,:#]\|$\)\@=/
syn match weirReference /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained
syn match weirMeasure /\%([ \t,:]\)\@1<=\%([0-9]\{4}-[0-9]\{2}-[0-9]\{2}\|[-−–]\=\%([0-9]\+['′’]\%([-−–]\=\%(\%([0-9]\+[-−–][0-9]\+[\/⁄][0-9]\+\|[0-9]\+[½¼¾⅓⅔⅛⅜⅝⅞]\)\|\%([0-9]\+[\/⁄][0-9]\+\|[½¼¾⅓⅔⅛⅜⅝⅞]\)\|[0-9]\+\.[0-9]\+\|[0-9]\+\)["″”]\)\=\|[0-9]\+\.[0-9]\+['′’]\|\%(\%([0-9]\+[-−–][0-9]\+[\/⁄][0-9]\+\|[0-9]\+[½¼¾⅓⅔⅛⅜⅝⅞]\)\|\%([0-9]\+[\/⁄][0-9]\+\|[½¼¾⅓⅔⅛⅜⅝⅞]\)\|[0-9]\+\.[0-9]\+\|[0-9]\+\)\%(["″”]\|in\)\%([\/⁄]ft\)\=\|\%([0-9]\+\.[0-9]\+\|[0-9]\+\)\%(ft\|mm\/m\|mm\|cm\|m\|%\|psi\|kPa\|bar\|gpm\|L\/s\|gal\|L\|F\|C\|min\)\=\|\%([0-9]\+[\/⁄][0-9]\+\|[½¼¾⅓⅔⅛⅜⅝⅞]\)\)\)\%([ \t,:#]\|$\)\@=/
syn match weirUnsolved /\%([ \t,:]\)\@1<=?\%([ \t,:#]\|$\)\@=/
syn match weirStatement /^\%(roof\)\%([ \t,:#]\|$\)\@=/ nextgroup=weirRoof1 skipwhite
syn match weirRoof1 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained
syn match weirStatement /^\%(dwelling\)\%([ \t,:#]\|$\)\@=/ nextgroup=weirDwelling1 skipwhite
syn match weirDwelling1 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\|baths\|bedrooms\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained
syn match weirStatement /^\%(existing\)\%([ \t,:#]\|$\)\@=/ nextgroup=weirExisting1 skipwhite
syn match weirExisting2 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained
syn match weirExisting1 /\%(drain\|stack\|supply\|vent\|vents\)\%([ \t,:#]\|$\)\@=/ contained nextgroup=weirExisting2 skipwhite
syn match weirSystem /^\%(drain\|sewer\|vent\|service\|cold\|hot\|return\|discharge\|indirect\)\%([ \t,:#]\|$\)\@=/ nextgroup=weirRun1 skipwhite
syn match weirRun3 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained
syn match weirRun2 /\%(to\)\%([ \t,:#]\|$\)\@=/ contained nextgroup=weirRun3 skipwhite
syn match weirRun1 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained nextgroup=weirRun2 skipwhite
syn match weirStatement /^\%(place\)\%([ \t,:#]\|$\)\@=/ nextgroup=weirPlace1 skipwhite
syn match weirPlace3 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained
syn match weirPlace2 /\%(as\)\%([ \t,:#]\|$\)\@=/ contained nextgroup=weirPlace3 skipwhite
syn match weirPlace1 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained nextgroup=weirPlace2 skipwhite
syn match weirStatement /^\%(except\)\%([ \t,:#]\|$\)\@=/ nextgroup=weirExcept1 skipwhite
syn match weirExcept4 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained
syn match weirExcept3 /\%(plan\|code\|occupancy\|scope\|default\|method\|climate\|dwelling\|include\|note\|building\|level\|roof\|room\|fixture\|main\|outfall\|terminal\|heater\|manifold\|ejector\|interceptor\|fitting\|object\|existing\|drain\|sewer\|vent\|service\|cold\|hot\|return\|discharge\|indirect\|typical\|end\|place\|except\|meet\|inspection\|found\|test\|waive\)\%([ \t,:#]\|$\)\@=/ contained nextgroup=weirExcept4 skipwhite
syn match weirExcept2 /\%(no\)\%([ \t,:#]\|$\)\@=/ contained nextgroup=weirExcept3 skipwhite
syn match weirExcept1 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained nextgroup=weirExcept2,weirExcept3 skipwhite
syn match weirStatement /^\%(found\)\%([ \t,:#]\|$\)\@=/ nextgroup=weirFound1,weirFound2 skipwhite
syn match weirFound2 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained
syn match weirFound1 /\%(drain\|sewer\|vent\|service\|cold\|hot\|return\|discharge\|indirect\)\%([ \t,:#]\|$\)\@=/ contained nextgroup=weirFound2 skipwhite
syn match weirStatement /^\%(code\|waive\|inspection\)\%([ \t,:#]\|$\)\@=/ nextgroup=weirWord1 skipwhite
syn match weirWord1 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained
syn match weirStatement /^\%(building\|level\|room\|typical\|fixture\|main\|outfall\|terminal\|heater\|manifold\|ejector\|interceptor\|fitting\|object\)\%([ \t,:#]\|$\)\@=/ nextgroup=weirNaming1 skipwhite
syn match weirNaming1 /\%(\%(to\|at\|in\|on\|of\|as\|above\|below\|roof\|rise\|suit\|every\|no\)\%([ \t,:#]\|$\)\@=\)\@!\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\%(\.\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\%(\.\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*\)*\)\=\%([ \t,:#]\|$\)\@=/ contained
syn match weirStatement /^\%(plan\|occupancy\|scope\|default\|method\|climate\|include\|note\|end\|meet\|test\)\%([ \t,:#]\|$\)\@=/
syn match weirOpenText /\%(^\|[ \t,:]\)\@1<="\%(\\"\|[^"]\)*$/
syn match weirEscape /\\"/ contained
syn match weirText /\%(^\|[ \t,:]\)\@1<="\%(\\"\|[^"]\)*"/ contains=weirEscape,@Spell
syn match weirComment /#.*$/ contains=@Spell
hi def link weirRoof1 weirDefined
hi def link weirDwelling1 weirDefined
hi def link weirExisting1 weirValue
hi def link weirExisting2 weirDefined
hi def link weirRun1 weirName
hi def link weirRun2 weirJoint
hi def link weirRun3 weirName
hi def link weirPlace1 weirName
hi def link weirPlace2 weirJoint
hi def link weirPlace3 weirDefined
hi def link weirExcept1 weirName
hi def link weirExcept2 weirJoint
hi def link weirExcept3 weirStatement
hi def link weirExcept4 weirName
hi def link weirFound1 weirSystem
hi def link weirFound2 weirName
hi def link weirWord1 weirValue
hi def link weirNaming1 weirDefined
hi def link weirReference weirName
hi def link weirComment Comment
hi def link weirText String
hi def link weirOpenText Error
hi def link weirStatement Statement
hi def link weirSystem StorageClass
hi def link weirDefined Function
hi def link weirName Identifier
hi def link weirJoint Keyword
hi def link weirMeasure Number
hi def link weirUnsolved Todo
hi def link weirKind Type
hi def link weirDevice PreProc
hi def link weirDirection Operator
hi def link weirMaterial Structure
hi def link weirAttribute Label
hi def link weirValue Constant
hi def link weirEscape SpecialChar
let b:current_syntax = "weir"
let &cpo = s:cpo_save
unlet s:cpo_save
