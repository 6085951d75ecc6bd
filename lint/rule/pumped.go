package rule

func pumped() []Rule { return nil }
