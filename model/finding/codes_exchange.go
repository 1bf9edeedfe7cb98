package finding

func init() {
	register([]Code{
		{ID: "existing-odd", Pass: "exchange", Title: "a file of existing points that breaks its form",
			Help: "The file was read as far as it can be understood. The message says at which line it breaks the form it follows:\na name or an object that stands twice in one device, a type or unit that is not known, texts that are referred to and missing.\nAsk whoever made the file for a clean one, or go on if the point is of no matter."},
	})
}
