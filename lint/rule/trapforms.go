package rule

func trapForms() []Rule { return nil }
