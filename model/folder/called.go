package folder

import "longpoint/model"

// What framers call the columns in tables of their own, in English and in German (common practice, no source). None of it is taken for granted: where
// a heading is not ours, the question what it is names the likely column.

// profileNames are what a moulding is called, whatever table it stands in.
const profileNames = "moulding, mouldings, molding, moulding no, profile no, Leiste, Leistennummer, Leisten-Nr., Profil, Rahmenleiste"

// quantityNames are what a number of pieces is called.
const quantityNames = "qty, how many, pieces, pcs, count, Stück, Stk., Stückzahl, Anzahl, Menge"

var jobHeadings = map[string]string{
	"job":          "number, no., job no, job number, job id, order, order no, order number, ticket, Nr., Nummer, Auftrag, Auftragsnummer, Auftrags-Nr.",
	"due":          "date, due date, due on, due by, ready, ready by, ready on, needed by, wanted by, collect, collected on, collection, pick up, deadline, Datum, Termin, Liefertermin, Abholtermin, Abholung, bis, fertig, fertig bis, fertig am, fällig, fällig am, abholen am",
	"customer":     "client, name, customer name, for whom, Kunde, Kundin, Kundenname, Name des Kunden, Auftraggeber",
	"frame":        "picture, image, artwork, work, title, subject, Bild, Motiv, Werk, Titel, Rahmen, Bildtitel",
	"profile":      profileNames,
	"quantity":     quantityNames,
	"width":        "size, sizes, dimensions, format, picture size, glass size, frame size, w, B, Breite, Größe, Groesse, Maß, Maße, Mass, Masse, Bildgröße, Bildmaß, Glasmaß, Abmessung, Abmessungen",
	"height":       "h, Höhe, Hoehe",
	model.NoColumn: "phone, telephone, mobile, e-mail, mail, Telefon, Tel., Handy, Mobil",
	"note":         "notes, remark, remarks, comment, comments, Notiz, Bemerkung, Bemerkungen, Anmerkung, Hinweis",
}

var profileHeadings = map[string]string{
	"profile":     profileNames + ", name, article, no., number, Nr., Nummer, Artikel, Artikelnummer, Bezeichnung",
	"title":       "description, Bezeichnung, Beschreibung, Text",
	"width":       "face, face width, w, B, Breite, Ansichtsbreite, Leistenbreite",
	"rebate":      "rabbet, rebate width, lip, Falz, Falzbreite",
	"finish":      "colour, color, surface, Farbe, Oberfläche, Ausführung",
	"metre_price": "price, price a metre, price per metre, Preis, Meterpreis, Preis je Meter, Preis pro Meter",
}

var rackHeadings = map[string]string{
	"stick":    "name, no., number, Stab, Stange, Nr., Nummer",
	"profile":  profileNames,
	"length":   "L, stick length, Länge, Laenge, Stangenlänge, Restlänge",
	"quantity": quantityNames,
	"place":    "shelf, bay, where, location, Fach, Platz, Regal, Ort, Lagerplatz, Lagerort",
	"value":    "worth, Wert",
	"lot":      "batch, Charge",
}

var supplierHeadings = map[string]string{
	"supplier":      "name, from, Lieferant, Händler",
	"least_order":   "minimum order, least order, Mindestbestellwert, Mindestbestellung",
	"delivery":      "delivery charge, carriage, shipping, Versand, Versandkosten, Lieferkosten, Fracht",
	"free_from":     "free delivery from, carriage free from, frei ab, versandfrei ab, frachtfrei ab",
	"delivery_days": "days, lead time, Lieferzeit, Liefertage",
	"address":       "Adresse, Anschrift",
}

var offerHeadings = map[string]string{
	"supplier":     "from, Lieferant, Händler",
	"profile":      profileNames,
	"stick_length": "length, L, Länge, Laenge, Stangenlänge",
	"bundle":       "pack, bundle of, sticks in a bundle, Bund, Bündel, VPE, Verpackungseinheit",
	"price":        "net price, price each, Preis, Nettopreis, Stückpreis",
	"until":        "valid until, ends, gültig bis",
	"article":      "article no, item, item no, code, Artikel, Artikelnummer, Artikel-Nr., Bestellnummer",
}
