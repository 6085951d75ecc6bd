package rule

func cleanoutForms() []Rule { return nil }
