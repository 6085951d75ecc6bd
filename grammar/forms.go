package grammar

// The forms of the statements. Runs and points are read by hand (run.go,
// point.go): a plan has thousands of them, and read by reflection they cost
// five times as much. Their forms stand here all the same, as the grammar's
// documentation, and a test holds that both read alike.
type (
	runForm struct {
		System   systemLeaf   `parser:"@@"`
		From     refLeaf      `parser:"@@"`
		To       nameLeaf     `parser:"('to' @@)?"`
		Size     sizeLeaf     `parser:"( @@"`
		Solve    solveLeaf    `parser:"| @@"`
		Material materialLeaf `parser:"| @@"`
		Tag      nameLeaf     `parser:"| 'as' @@"`
		Existing bool         `parser:"| @'existing'"`
		Claim    claimLeaf    `parser:"| 'system' @@ )*"`
		Items    []itemLeaf   `parser:"(':' @@ (',' @@)*)?"`
	}
	pointForm struct {
		Vents bool              `parser:"( 'existing' @'vents'"`
		Work  existingLeaf      `parser:"| 'existing' @@"`
		Old   nameLeaf          `parser:"  @@"`
		Key   pointLeaf         `parser:"| @@"`
		Name  nameLeaf          `parser:"  @@ )"`
		Parts []pointAttributes `parser:"@@*"`
	}
	pointAttributes struct {
		At   atLeaf   `parser:"  ('at' | 'invert') @@"`
		Attr attrLeaf `parser:"| @@"`
		Kind kindLeaf `parser:"| @@"`
	}
	planForm struct {
		Title stringLeaf `parser:"'plan' @@"`
	}
	codeForm struct {
		Book    wordLeaf     `parser:"'code' @@"`
		Amended []stringLeaf `parser:"('amended' 'by' @@+)?"`
	}
	occupancyForm struct {
		Use wordLeaf `parser:"'occupancy' @@"`
	}
	scopeForm struct {
		Systems []wordLeaf `parser:"'scope' @@+"`
	}
	defaultForm struct {
		Stop     stopLeaf  `parser:"'default' ( @@"`
		FallKey  fallLeaf  `parser:"| @@"`
		Fall     gradeLeaf `parser:"  @@"`
		What     wordLeaf  `parser:"| @@"`
		Material wordLeaf  `parser:"  @@ )"`
	}
	methodForm struct {
		Name wordLeaf `parser:"'method' @@"`
	}
	climateForm struct {
		Winter tempLeaf `parser:"'climate' 'winter' @@"`
	}
	includeForm struct {
		Path stringLeaf `parser:"'include' @@"`
	}
	noteForm struct {
		Text stringLeaf `parser:"'note' @@"`
		On   refLeaf    `parser:"('on' @@)?"`
	}
	buildingForm struct {
		Name nameLeaf `parser:"'building' @@"`
	}
	levelForm struct {
		Name     refLeaf    `parser:"'level' @@"`
		At       heightLeaf `parser:"'at' @@"`
		Every    lenLeaf    `parser:"( 'every' @@"`
		Building nameLeaf   `parser:"| 'of' @@ )*"`
	}
	roofForm struct {
		Name     nameLeaf   `parser:"'roof' @@?"`
		At       heightLeaf `parser:"'at' @@"`
		Building nameLeaf   `parser:"('of' @@)?"`
	}
	roomForm struct {
		Name     nameLeaf   `parser:"'room' @@"`
		On       nameLeaf   `parser:"( 'on' @@"`
		Use      wordLeaf   `parser:"| 'use' @@"`
		Dwelling nameLeaf   `parser:"| 'of' @@"`
		Ceiling  lenLeaf    `parser:"| 'ceiling' @@"`
		Access   accessLeaf `parser:"| @@ )*"`
	}
	meetForm struct {
		Names []refLeaf `parser:"'meet' @@+"`
	}
	placeForm struct {
		Typical  nameLeaf `parser:"'place' @@"`
		As       refLeaf  `parser:"'as' @@"`
		In       nameLeaf `parser:"( 'in' @@"`
		On       refLeaf  `parser:"| 'on' @@"`
		At       atLeaf   `parser:"| 'at' @@"`
		Every    wordLeaf `parser:"| 'every' @@"`
		EveryLen lenLeaf  `parser:"  @@"`
		Opposite bool     `parser:"| @'opposite-hand'"`
		Facing   wordLeaf `parser:"| 'facing' @@ )*"`
	}
	typicalForm struct {
		Name nameLeaf `parser:"'typical' @@"`
	}
	inspectionForm struct {
		Stage nameLeaf `parser:"'inspection' @@"`
		On    wordLeaf `parser:"('on' @@)?"`
	}
	testForm struct {
		System   wordLeaf `parser:"'test' @@"`
		Medium   wordLeaf `parser:"@@"`
		Head     headLeaf `parser:"@@"`
		Duration timeLeaf `parser:"('for' @@)?"`
		Result   wordLeaf `parser:"@@?"`
		On       wordLeaf `parser:"('on' @@)?"`
	}
	waiveForm struct {
		Rule     nameLeaf    `parser:"'waive' @@"`
		Subject  subjectLeaf `parser:"'on' @@"`
		Because  stringLeaf  `parser:"( 'because' @@"`
		Approved stringLeaf  `parser:"| 'approved' @@"`
		Until    wordLeaf    `parser:"| 'until' @@ )*"`
	}
)
