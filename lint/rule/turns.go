package rule

func turns() []Rule { return nil }
