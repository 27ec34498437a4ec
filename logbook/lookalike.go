package logbook

// Letters that are drawn like Latin ones, and those Latin ones below them, by
// script: a part of Unicode's confusables.txt (UTS 39, Unicode Security
// Mechanisms), the pairs of one letter with one. Letters that only resemble
// figures or need two are left out.
var lookalikes = [][2]string{
	{"ıƍƖƦɑɡɣɩɪɯʋʏᴄᴏᴑᴜᴠᴡᴢᶃᶌẝỿꜱꞘꞙꞟꬲꬵꬽꭇꭈꭎꭒꭚ", "iglRagyiiwuycoouvwzgyfysFfueforruuy"},
	{"ͿΑΒΕΖΗΙΚΜΝΟΡΤΥΧαγινορσυϜϳϺᴦ", "JABEZHlKMNOPTYXayivopouFjMr"},
	{"ЅІЈАВЕКМНОРСТУХЬагеорсухѕіјѡѴѵҮүһҽӀӏԁԌԛԜԝꙇ", "SlJABEKMHOPCTYXbareopcyxsijwVvYyhelidGqWwi"},
	{"ՍՏՕագզհոռսցքօ", "USOwqqhnnugfo"},
	{"ᎠᎡᎢᎥᎩᎪᎫᎬᎳᎷᎻᎽᏀᏂᏃᏏᏒᏔᏕᏙᏚᏞᏟᏢᏦᏧᏳᏴꭵꮁꮃꮓꮩꮪꮯ", "DRTiYAJEWMHYGhZbRWSVSLCPKdGBirwzvsc"},
}

// latin is the letter that a letter is drawn like.
var latin = func() map[rune]rune {
	m := map[rune]rune{}
	for _, pair := range lookalikes {
		like := []rune(pair[1])
		for i, r := range []rune(pair[0]) {
			m[r] = like[i]
		}
	}
	return m
}()
