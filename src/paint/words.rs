//! The vocabulary of lists: which header words mean which column, and which words in a cell mean which of ours.
//!
//! One table for paints, scatter, the command line and the page. Languages: English, German, French, Spanish, Italian,
//! Dutch, Portuguese, Danish, Norwegian, Swedish, Polish, Czech, from memory. A word with a `?` before it is a guess:
//! it counts only where the cells below it bear it out, for "colour" heads names in one list and hex in another.

use super::folded::{fold, holds_phrase};
use super::measure::Measure;

/// A column of a list.
#[derive(Debug)]
pub(super) struct Column {
    /// Its own name, which `tidy` writes.
    pub(super) name: &'static str,
    /// What its cells hold.
    pub(super) holds: Holds,
    /// Other words for it, folded as by [`fold`].
    pub(super) words: &'static str,
}

/// What the cells of a column hold.
#[derive(Debug, Clone, Copy)]
pub(super) enum Holds {
    /// A name.
    Name,
    /// A colour.
    Colour,
    /// A number, with or without its unit.
    Number(Measure),
    /// One of a few words.
    Word(OwnWords),
    /// Anything.
    Text,
    /// The name of a file.
    File,
}

/// Words of ours, each with those that mean the same.
pub(super) type OwnWords = &'static [(&'static str, &'static str)];

const fn column(name: &'static str, holds: Holds, words: &'static str) -> Column {
    Column { name, holds, words }
}

/// Columns of colours that lists of paints and of scatter have alike.
const LAB_L: Column = column(
    "lab_l",
    Holds::Number(Measure::Plain),
    "l, lab l, cie l, cielab l, lightness l, l d65, l d50",
);
const LAB_A: Column = column(
    "lab_a",
    Holds::Number(Measure::Plain),
    "a, lab a, cie a, cielab a, a d65, a d50",
);
const LAB_B: Column = column(
    "lab_b",
    Holds::Number(Measure::Plain),
    "?b, lab b, cie b, cielab b, b d65, b d50",
);
const ILLUMINANT: Column = column(
    "illuminant",
    Holds::Text,
    "light source, illuminant observer, lichtart, normlichtart, lichtart beobachter, illuminante",
);
const RED: Column = column(
    "red",
    Holds::Number(Measure::Channel),
    "?r, ?r value, ?rgb r, ?srgb r, ?czerwony, ?cervena, ?punainen, ?rot, ?rouge, ?rojo, ?rosso, ?rood, ?vermelho, ?rod",
);
const GREEN: Column = column(
    "green",
    Holds::Number(Measure::Channel),
    "?g, ?g value, ?rgb g, ?srgb g, ?v, ?zielony, ?zelena, ?vihrea, ?grun, ?gruen, ?vert, ?verde, ?groen, ?gron",
);
const BLUE: Column = column(
    "blue",
    Holds::Number(Measure::Channel),
    "?b, ?b value, ?rgb b, ?srgb b, ?niebieski, ?modra, ?sininen, ?blau, ?bleu, ?azul, ?blu, ?blauw, ?bla",
);

/// The columns of a paint list.
pub(super) const PAINT_COLUMNS: &[Column] = &[
    column(
        "name",
        Holds::Name,
        "paint, paints, paint name, name of paint, colour name, color name, name of colour, paint colour name, title, product, product name, \
         farbname, farbbezeichnung, bezeichnung, name der farbe, farbton, nom, nom de la peinture, peinture, nom de la couleur, nom couleur, designation, \
         nombre, pintura, nombre de la pintura, nombre del color, nome, nome del colore, vernice, naam, verf, verfnaam, kleurnaam, naam kleur, \
         tinta, nome da tinta, nome da cor, navn, namn, maling, farge navn, nazwa, farba, nazwa farby, nazev, nazev barvy, nimi, vari, maali, \
         ?colour, ?color, ?farbe, ?farben, ?couleur, ?colore, ?kleur, ?cor, ?farve, ?farge, ?farg, ?kolor, ?barva, ?shade, ?tint, ?teinte, ?item, ?artikel, ?label, ?description, ?pot, ?bottle, ?tube, ?tin",
    ),
    column(
        "hex",
        Holds::Colour,
        "hex code, hexcode, hex value, hex colour, hex color, colour hex, color hex, paint hex, hexa, hexadecimal, html, html code, html colour, html color, rgb, srgb, rgb hex, rgb value, rgb code, web colour, web color, screen colour, screen color, \
         colour value, color value, farbwert, farbcode, hexwert, hex wert, hex farbe, code hex, code couleur, couleur hex, valeur hex, codigo hex, codigo de color, color hex, codice hex, codice colore, colore hex, hexcode kleur, kleurcode, kleur hex, codigo da cor, farvekode, fargekode, fargkod, kod koloru, kod barvy, \
         munsell, munsell notation, ?colour, ?color, ?farbe, ?couleur, ?colore, ?kleur, ?cor, ?farve, ?farge, ?farg, ?kolor, ?barva, ?swatch, ?code, ?colour code, ?color code, ?sample, ?muster, ?tone, ?shade, ?value",
    ),
    LAB_L,
    LAB_A,
    LAB_B,
    ILLUMINANT,
    RED,
    GREEN,
    BLUE,
    column(
        "spectrum",
        Holds::File,
        "spectrum file, spectral file, reflectance file, spektrum, spektraldatei, spectre, espectro, spettro",
    ),
    column(
        "medium",
        Holds::Word(MEDIA),
        "binder, paint type, type of paint, kind of paint, bindemittel, farbtyp, farbart, liant, type de peinture, aglutinante, tipo de pintura, medio, legante, tipo di vernice, bindmiddel, verfsoort, soort verf, tipo de tinta, bindemiddel, spoiwo, rodzaj farby, pojivo, typ barvy, ?type, ?kind, ?base, ?typ, ?art, ?sorte, ?tipo, ?soort, ?rodzaj, ?chemistry",
    ),
    column(
        "opacity",
        Holds::Word(OPACITIES),
        "hiding, hiding power, covering power, cover, coverage, deckkraft, deckvermogen, opacite, pouvoir couvrant, opacidad, poder cubriente, opacita, coprenza, dekking, dekkracht, dekkend, opacidade, dekkevne, daekkeevne, tackformaga, tackning, krycie, kryvost",
    ),
    column(
        "transparency",
        Holds::Word(TRANSPARENCIES),
        "transparenz, transparence, transparencia, trasparenza, translucency, transparantie, przezroczystosc",
    ),
    column(
        "finish",
        Holds::Word(FINISHES),
        "sheen, gloss, ?surface, glanz, glanzgrad, ?oberflache, finition, brillance, ?aspect, acabado, brillo, finitura, lucentezza, glans, glansgraad, afwerking, acabamento, brilho, glansgrad, glanstal, polysk, wykonczenie, lesk",
    ),
    column(
        "strength",
        Holds::Number(Measure::Ratio),
        "tinting strength, tint strength, farbstarke, farbekraft, pouvoir colorant, force colorante, poder colorante, fuerza, forza colorante, kleurkracht, sila barwienia",
    ),
    column(
        "let_down_hex",
        Holds::Colour,
        "let down, letdown, letdown hex, let down colour, let down color, tint hex, tint colour, colour with white, color with white, with white, mixed with white, mit weiss, aufhellung, aufgehellt, avec du blanc, con blanco, con bianco, met wit",
    ),
    column("let_down_spectrum", Holds::File, "let down spectrum file"),
    column(
        "let_down_parts_white",
        Holds::Number(Measure::Parts),
        "parts white, parts of white, white parts, let down parts, let down ratio, letdown parts, letdown ratio, teile weiss, parts de blanc, partes de blanco, parti di bianco, delen wit",
    ),
    column(
        "let_down_2_hex",
        Holds::Colour,
        "second let down, let down 2",
    ),
    column(
        "let_down_2_parts_white",
        Holds::Number(Measure::Parts),
        "let down 2 parts, second let down parts",
    ),
    column(
        "let_down_3_hex",
        Holds::Colour,
        "third let down, let down 3",
    ),
    column(
        "let_down_3_parts_white",
        Holds::Number(Measure::Parts),
        "let down 3 parts, third let down parts",
    ),
    column(
        "over_black_hex",
        Holds::Colour,
        "over black, on black, over black hex, coat over black, on black card, over black card, auf schwarz, uber schwarz, sur noir, sobre negro, su nero, op zwart, pa svart, pa sort",
    ),
    column(
        "over_white_hex",
        Holds::Colour,
        "over white, on white, over white hex, coat over white, on white card, over white card, auf weiss, uber weiss, sur blanc, sobre blanco, su bianco, op wit, pa vitt, pa hvid",
    ),
    column(
        "thinner",
        Holds::Text,
        "thin with, thinned with, thins with, ?solvent, verdunner, verdunnung, verduennung, verdunnung mit, diluant, solvant, diluyente, disolvente, diluente, verdunningsmiddel, diluente, fortynder, tynner, fortunning, rozcienczalnik, redidlo",
    ),
    column(
        "effect",
        Holds::Word(EFFECTS),
        "special effect, effekt, effet, efecto, effetto, efeito, efekt",
    ),
    column(
        "mixable",
        Holds::Word(YES_NO),
        "can be mixed, may be mixed, mixes, mischbar, melangeable, mezclable, miscelabile, mengbaar, misturavel, kan blandes, blandbar, mieszalna",
    ),
    column(
        "density_g_per_ml",
        Holds::Number(Measure::Density),
        "density, specific gravity, dichte, densite, densidad, densita, dichtheid, densidade, densitet, gestosc, hustota",
    ),
    column(
        "on_hand_ml",
        Holds::Number(Measure::Stock),
        "on hand, in stock, stock, left, remaining, amount left, have ml, quantity, amount, ml left, vorrat, bestand, vorhanden, ?have, ?rest, restmenge, menge, ?reste, en stock, quantite, restant, existencias, queda, cantidad, restante, scorta, giacenza, rimanente, quantita, voorraad, ?over, hoeveelheid, estoque, quantidade, pa lager, beholdning, lager, ?kvar, ?rester, zapas, ilosc, zostalo, mangd, ?resto, zasoba, mnozstvi",
    ),
    column(
        "pot_ml",
        Holds::Number(Measure::Volume),
        "?pot, ?bottle, ?tube, ?tin, ?jar, ?flasche, ?dose, fullmenge, ?fullstand, volym, objetosc, grootte, pot size, ?size, bottle size, tube size, tin size, jar size, ?volume, contents, content, size of pot, capacity, inhalt, gebinde, gebindegrosse, flaschengrosse, ?grosse, ?volumen, contenance, ?taille, ?flacon, volume du pot, contenido, ?tamano, volumen del bote, contenuto, ?formato, capacita, inhoud, potmaat, conteudo, ?tamanho, indhold, innhold, storrelse, innehall, storlek, pojemnosc, wielkosc, objem, obsah",
    ),
    column(
        "price",
        Holds::Number(Measure::Price),
        "kostnad, uvp, cost, price each, price per pot, unit price, cost each, rrp, eur, gbp, usd, preis, stuckpreis, kosten, kaufpreis, prix, prix unitaire, cout, precio, coste, prezzo, costo, prijs, preco, custo, pris, cena, koszt, hinta",
    ),
    column(
        "currency",
        Holds::Text,
        "price currency, wahrung, waehrung, devise, monnaie, moneda, divisa, valuta, moeda, waluta, mena",
    ),
    column(
        "note",
        Holds::Text,
        "notes, comment, comments, remark, remarks, memo, notiz, notizen, bemerkung, bemerkungen, anmerkung, kommentar, remarque, remarques, commentaire, nota, notas, comentario, observaciones, note, osservazioni, opmerking, opmerkingen, observacoes, bemaerkning, merknad, kommentar, anteckning, uwagi, uwaga, poznamka",
    ),
    column(
        "measured_by",
        Holds::Text,
        "measured by, read by, by whom, gemessen von, mesure par, medido por, misurato da, gemeten door",
    ),
];

/// The columns of a scatter list.
pub(super) const SCATTER_COLUMNS: &[Column] = &[
    column(
        "name",
        Holds::Name,
        "scatter, kind, product, product name, streumaterial, streugut, bezeichnung, nom, flocage, materiau, nombre, nome, materiale, naam, strooimateriaal, navn, namn, nazwa, nazev, ?colour, ?color, ?farbe, ?couleur, ?colore, ?kleur, ?item, ?artikel, ?label, ?description, ?type",
    ),
    column(
        "hex",
        Holds::Colour,
        "hex code, hexcode, hex value, hex colour, hex color, colour hex, color hex, html, rgb, srgb, farbwert, farbcode, hexwert, code hex, code couleur, codigo hex, codice hex, kleurcode, munsell, ?colour, ?color, ?farbe, ?couleur, ?colore, ?kleur, ?cor, ?farve, ?farge, ?farg, ?code, ?tone, ?shade",
    ),
    LAB_L,
    LAB_A,
    LAB_B,
    ILLUMINANT,
    RED,
    GREEN,
    BLUE,
    column(
        "swatch",
        Holds::Word(SWATCHES),
        "?sample, read from, taken from, ?muster, ?echantillon, ?muestra, ?campione, ?monster",
    ),
    column(
        "grain",
        Holds::Word(GRAINS),
        "coarseness, ?grade, ?texture, ?size, kornung, korn, grain size, granulometrie, grano, grana, korrel, ?type, ?kind",
    ),
    column(
        "material",
        Holds::Word(MATERIALS),
        "made of, made from, stands for, ?type, ?kind",
    ),
    column(
        "length_mm",
        Holds::Number(Measure::Length),
        "length, fibre length, fiber length, faserlange, lange, longueur, longitud, lunghezza, lengte, laengde, lengde, langd, dlugosc, delka",
    ),
    column(
        "on_hand_g",
        Holds::Number(Measure::Mass),
        "on hand, in stock, stock, left, remaining, quantity, amount, weight, vorrat, bestand, menge, gewicht, quantite, reste, poids, existencias, cantidad, peso, scorta, quantita, voorraad, hoeveelheid, beholdning, zapas, waga, mnozstvi",
    ),
    column(
        "cover_g_per_dm2",
        Holds::Number(Measure::Cover),
        "cover, coverage, covers, verbrauch, ergiebigkeit, consommation, consumo, rendimento, verbruik",
    ),
    column(
        "note",
        Holds::Text,
        "notes, comment, comments, remark, remarks, notiz, notizen, bemerkung, anmerkung, remarque, commentaire, nota, notas, comentario, note, opmerking, uwagi, poznamka",
    ),
];

/// Binders and kinds of paint. What is listed as a wash is one of its binder, see [`is_thin`].
pub(super) const MEDIA: OwnWords = &[
    (
        "acrylic",
        "acryl, acrylics, acrylfarbe, acryllack, acrylverf, acrylique, acrilico, acrilica, akrylowa, akrylowy, akryl, akrylova, akrylmaling, akrylfarg, acr, ad acqua, waterbasis, wassrig, wasser, wasser basis, water based, waterbased, waterborne, water borne, water, aqueous, wasserbasis, wasserbasiert, wasserverdunnbar, a l eau, base d eau, base acqua, base de agua, al agua, all acqua, watergedragen, waterverdunbaar, vandbaseret, vannbasert, vattenbaserad, wodna, vinyl, vinylic, vinilico",
    ),
    (
        "enamel",
        "enamels, email, emaille, emaillack, white spirit, terpentin, terpentinersatz, kunstharz, kunstharzfarbe, kunstharzlack, alkyd, alkydharz, glycero, glycerophtalique, esmalte, smalto, emaljemaling, emalj, emalia, syntetika, synthetic, white spirit based",
    ),
    (
        "oil",
        "oils, oil colour, artists oil, ol, oel, olfarbe, oelfarbe, huile, peinture a l huile, oleo, olio, olieverf, olie, oliemaling, oljefarg, olej, olejna, olejova",
    ),
    (
        "lacquer",
        "lacquers, lack, nitro, nitrolack, nitrolak, cellulose, laque, laca, lacca, lak, lakier nitro, lacquer based, alcohol based",
    ),
    (
        "ink",
        "inks, tinte, tusche, encre, inkt, inchiostro, blaek, blekk, black ink, tusz, inkoust",
    ),
    (
        "powder",
        "pigment, pigments, powders, weathering powder, dry pigment, pulver, pigmentpulver, poudre, polvo, polvere, poeder, pigmento, pigmenti, proszek, prasek",
    ),
    (
        "emulsion",
        "household emulsion, wall paint, house paint, wandfarbe, dispersionsfarbe, dispersion, latex, muurverf, peinture murale, pintura plastica, idropittura, vaegmaling, vaggfarg, emulsja",
    ),
    (
        "watercolour",
        "watercolours, watercolor, watercolors, aquarell, aquarellfarbe, aquarelle, acuarela, acquerello, acquarello, aquarelverf, aquarela, akvarel, akvarell, akwarela, gouache",
    ),
    (
        "primer",
        "primers, undercoat, grundierung, haftgrund, sous couche, appret, imprimacion, fondo, primaire, grondverf, grunding, grundfarg, podklad, zaklad",
    ),
    (
        "varnish",
        "varnishes, clear coat, clearcoat, clear varnish, klarlack, mattlack, firnis, schutzlack, vernis, barniz, verniz, vernice trasparente, blanke lak, klarlak, klarlakk, klarlack, lakier bezbarwny, top coat, topcoat",
    ),
];

/// Kinds that say more than the binder named with them: an "acrylic varnish" is a varnish.
pub(super) const KINDS_OF_MEDIA: [&str; 5] = ["ink", "powder", "primer", "varnish", "watercolour"];

/// Hiding.
pub(super) const OPACITIES: OwnWords = &[
    (
        "opaque",
        "o, covering, full, good, high, goed, dobra, dobre, sehr gut, deckend, hochdeckend, couvrant, couvrante, opaca, opaco, cubriente, coprente, dekkend, daekkende, dekkende, tackande, kryjaca, kryci, nontransparent",
    ),
    (
        "semi-opaque",
        "so, semi opaque, half opaque, halbdeckend, fast deckend, semi opaco, semi opaca, semiopaque, semiopaco, semi couvrant, halfdekkend, medium, mittel, moyen, media, medio, polkryjaca, polokryci",
    ),
    (
        "semi-transparent",
        "st, semi transparent, semitransparent, translucent, translucida, translucido, translucide, peu couvrant, peu couvrante, slecht dekkend, slabe, slaba, semi translucent, halbtransparent, halblasierend, semitransparente, semi transparente, semitrasparente, halftransparant, poor, low, polprzezroczysta, polotransparentni",
    ),
    (
        "transparent",
        "t, see through, glaze, glazing, clear, lasierend, transparente, trasparente, transparant, transparentna, transparentny, nicht deckend, non couvrant, gennemsigtig, gjennomsiktig, przezroczysta, transparentni, laserande, laserend",
    ),
];

/// The same, in words for how much shows through.
pub(super) const TRANSPARENCIES: OwnWords = &[
    (
        "opaque",
        "none, no, 0, nil, zero, keine, aucune, ninguna, nessuna, geen, deckend, couvrant, cubriente, coprente",
    ),
    (
        "semi-opaque",
        "low, little, slight, slightly, gering, niedrig, faible, baja, bassa, laag, semi opaque, halbdeckend",
    ),
    (
        "semi-transparent",
        "medium, some, half, mittel, moyenne, media, gemiddeld, semi transparent, translucent, halbtransparent, semi transparente",
    ),
    (
        "transparent",
        "high, full, very, yes, clear, hoch, elevee, forte, alta, hoog, lasierend, transparente, trasparente, transparant",
    ),
];

/// Sheen.
pub(super) const FINISHES: OwnWords = &[
    (
        "matt",
        "m, matte, mat, flat, dead flat, dull, stumpf, stumpfmatt, glanzlos, matowy, matny, mattiert, mate, opaco, opaca, fosco, mata, matna, matowa, ultra matt, ultra matte",
    ),
    (
        "satin",
        "s, satine, satinee, saten, satynowy, silk, silky, eggshell, semi gloss, semi matt, semi matte, semigloss, seidenmatt, seidenglanzend, seidenglanz, halbmatt, halbglanzend, satinado, satinato, acetinado, zijdeglans, zijdemat, halvblank, halvmatt, satyna, satynowa, pololesk",
    ),
    (
        "gloss",
        "g, glossy, high gloss, shiny, brillo, blyszczacy, glanzend, hochglanz, glanz, brillant, brillante, lucido, lucida, brilhante, glanzend, hoogglans, glans, blank, polysk, blyszczaca, leskla",
    ),
];

/// Flakes and fluorescence.
pub(super) const EFFECTS: OwnWords = &[
    (
        "metallic",
        "metal, metallics, metallisch, metallise, metalise, metallique, metalico, metalizado, metallizzato, metallico, metaal, metaliczna, metaliza",
    ),
    (
        "pearl",
        "pearlescent, pearly, interference, iridescent, perlmutt, perlglanz, nacre, nacree, perlado, perlato, parelmoer, perlowa, perletova",
    ),
    (
        "fluorescent",
        "fluo, neon, fluoreszierend, leuchtfarbe, fluorescente, fluorescerend, fluorescencyjna",
    ),
    (
        "none",
        "no, normal, standard, plain, solid, non metallic, not metallic, kein, keiner, nein, aucun, ninguno, nessuno, geen, brak",
    ),
];

/// Yes and no.
pub(super) const YES_NO: OwnWords = &[
    (
        "yes",
        "y, true, 1, x, ja, j, wahr, oui, vrai, si, s, verdadero, vero, sim, verdadeiro, tak, ano, ok",
    ),
    (
        "no",
        "n, false, 0, nein, falsch, non, faux, falso, nee, onwaar, nao, nej, nei, nie, ne, spray, spray can, aerosol, rattle can, spruhdose, sprayflasche",
    ),
];

/// What a listed colour of scatter was read from.
pub(super) const SWATCHES: OwnWords = &[
    ("laid", "as laid, patch, strewn, verlegt, pose, colocado"),
    (
        "loose",
        "grains, chart, bag, lose, vrac, suelto, sciolto, los",
    ),
];

/// What a scatter is.
pub(super) const MATERIALS: OwnWords = &[
    (
        "foliage",
        "bush, bushes, shrub, laub, feuillage, follaje, fogliame, loof",
    ),
    ("turf", "ground foam, foam, rasen, gazon, cesped"),
    (
        "fibre",
        "fiber, fibres, fibers, grass, static grass, faser, gras, fibra, vezel",
    ),
    (
        "earth",
        "soil, sand, dirt, erde, terre, tierra, terra, aarde",
    ),
    (
        "ballast",
        "stone, stones, gravel, chippings, schotter, pierre, piedra, pietra, grind",
    ),
    (
        "leaf",
        "leaves, leaf litter, blatter, feuilles, hojas, foglie, blad",
    ),
    (
        "needle",
        "needles, nadel, nadeln, aiguilles, agujas, aghi, naalden",
    ),
    ("flock", "flocking, powder, flocage"),
];

/// How coarse a scatter is.
pub(super) const GRAINS: OwnWords = &[
    (
        "coarse",
        "rough, large, clump, clumps, grob, grossier, gros, grueso, grosso, grof, grov, gruba",
    ),
    (
        "medium",
        "mid, mittel, mittelgrob, moyen, medio, media, middel, mellem, mellan, srednia",
    ),
    (
        "fine",
        "small, dust, powder, fein, fin, fino, fina, fijn, drobna",
    ),
    (
        "fibre",
        "fiber, fibres, fibers, static grass, grass, fasern, faser, grasfasern, fibre d herbe, fibra, fibre erba, vezel, vezels, wlokna",
    ),
];

/// Words in a medium or a name by which a paint is thinned as sold: it lays no opaque coat. Common practice, no source.
const THIN: &str =
    "wash, washes, ink, glaze, filter, lavis, lavado, lavaggio, lasur, laserung, panel line";

/// Words by which an acrylic is thinned by no water: it stirs with lacquers.
const BY_SOLVENT: &str = "solvent, solvent based, solvent borne, losungsmittel, losungsmittelhaltig, losemittelhaltig, losungsmittelbasis, alcohol, alkohol, \
    isopropanol, a solvant, solvant, disolvente, solvente, oplosmiddel";

/// True when a cell says that the paint is thinned by a solvent.
pub(super) fn is_by_solvent(text: &str) -> bool {
    let folded = fold(text);
    words_of(BY_SOLVENT).any(|word| holds_phrase(&folded, word))
}

/// Words in a medium by which it comes out of a can, and is stirred with nothing.
const SPRAYED: &str =
    "spray, sprays, spray can, aerosol, spruhdose, spruhfarbe, bombe, spuitbus, rattle can";

/// True when a cell says that the paint is sprayed from its can.
pub(super) fn is_sprayed(text: &str) -> bool {
    let folded = fold(text);
    words_of(SPRAYED).any(|word| holds_phrase(&folded, word))
}

/// The effect of ours that stands among the words of a cell.
pub(super) fn effect_among(text: &str) -> Option<&'static str> {
    let folded = fold(text);
    // "non metallic" is no metallic.
    if words_of(NOT).any(|not| holds_phrase(&folded, not)) {
        return None;
    }
    let found = EFFECTS.iter().find(|(own, others)| {
        let mut all = std::iter::once(*own).chain(words_of(others));
        all.any(|word| word.len() > 2 && holds_phrase(&folded, word))
    });
    found.map(|(own, _)| *own).filter(|own| *own != "none")
}

/// True when a cell says that the paint is thin as sold.
pub(super) fn is_thin(text: &str) -> bool {
    let folded = fold(text);
    words_of(THIN).any(|word| holds_phrase(&folded, word))
}

/// Words that say nothing about a cell's meaning.
const FILLERS: [&str; 26] = [
    "paint", "paints", "colour", "color", "farbe", "farben", "peinture", "pintura", "verf",
    "maling", "based", "base", "basis", "type", "typ", "the", "of", "hobby", "model", "artists",
    "artist", "auf", "de", "la", "a", "on",
];

/// The words of a table's entry.
pub(super) fn words_of(words: &'static str) -> impl Iterator<Item = &'static str> {
    words.split(',').map(str::trim).filter(|w| !w.is_empty())
}

/// True for a header by which colours go beyond doubt: "RGB" beside "Hex".
pub(super) fn heads_colours(written: &str) -> bool {
    let outside = written.split(['(', '[']).next().unwrap_or_default();
    let folded = fold(outside);
    let hex = PAINT_COLUMNS.iter().find(|c| c.name == "hex");
    hex.is_some_and(|c| c.name == folded || words_of(c.words).any(|w| w == folded))
}

/// Our own words of a column, for messages; none for a column that holds anything else.
pub(super) fn words_of_column(name: &str) -> Option<String> {
    let column = PAINT_COLUMNS.iter().chain(SCATTER_COLUMNS);
    let mut words = column
        .filter(|c| c.name == name)
        .filter_map(|c| match c.holds {
            Holds::Word(words) => Some(words),
            _ => None,
        });
    let words: Vec<&str> = words.next()?.iter().map(|(own, _)| *own).collect();
    Some(words.join(", "))
}

/// True if a word negates the rest.
pub(super) fn is_negated(folded: &str) -> bool {
    words_of(NOT).any(|not| holds_phrase(folded, not)) || folded.starts_with("unmix")
}

/// A text without the word that negates it; none where there is no such word.
pub(super) fn without_negation(folded: &str) -> Option<String> {
    let mut words: Vec<&str> = folded.split(' ').collect();
    let at = words
        .iter()
        .position(|word| words_of(NOT).any(|not| not == *word))?;
    words.remove(at);
    Some(words.join(" "))
}

/// A text without the things it says it is free of: "oil-free acrylic" is an acrylic.
fn without_what_is_absent(folded: &str) -> String {
    const FREE: [&str; 7] = [
        "free",
        "frei",
        "repellent",
        "resistant",
        "proof",
        "vrij",
        "fri",
    ];
    const ABSENT: [&str; 3] = ["olfrei", "losungsmittelfrei", "wasserfest"];
    let words: Vec<&str> = folded.split(' ').collect();
    let kept = words.iter().enumerate().filter(|(at, word)| {
        let of_next = words.get(at + 1).is_some_and(|next| FREE.contains(next));
        !of_next && !FREE.contains(word) && !ABSENT.contains(word)
    });
    kept.map(|(_, word)| *word).collect::<Vec<_>>().join(" ")
}

/// What a cell's words mean.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Meaning {
    /// Our own word.
    Own(&'static str),
    /// Another word for ours.
    Taken(&'static str),
    /// Words for several of ours.
    Several(Vec<&'static str>),
    /// None that is known.
    Nothing,
}

impl Meaning {
    pub(super) fn word(&self) -> Option<&'static str> {
        match self {
            Self::Own(word) | Self::Taken(word) => Some(word),
            Self::Several(_) | Self::Nothing => None,
        }
    }
}

/// Words that negate what follows.
const NOT: &str = "not, non, no, never, without, nicht, kein, keine, ohne, pas, sans, sin, senza, niet, geen, zonder, ikke, uden, uten, inte, utan, nie, bez";

/// The word of ours that a text stands for as a whole.
fn whole(wanted: &str, words: OwnWords) -> Option<&'static str> {
    words
        .iter()
        .find(|(own, others)| fold(own) == wanted || words_of(others).any(|w| w == wanted))
        .map(|(own, _)| *own)
}

/// A folded text as a whole, then without fillers.
fn as_a_whole(text: &str, folded: &str, words: OwnWords, fillers: &[&[&str]]) -> Option<Meaning> {
    if let Some((own, _)) = words.iter().find(|(own, _)| fold(own) == folded) {
        return Some(Meaning::Own(own));
    }
    if text.is_empty() || folded.is_empty() {
        return Some(Meaning::Nothing);
    }
    let meat = without(folded, fillers);
    (whole(folded, words).or_else(|| whole(&meat, words))).map(Meaning::Taken)
}

/// A folded text without some of its words.
fn without(folded: &str, fillers: &[&[&str]]) -> String {
    let meat = folded.split(' ');
    let meat = meat.filter(|word| !fillers.iter().any(|some| some.contains(word)));
    meat.collect::<Vec<_>>().join(" ")
}

/// Words that make a degree no other one: a paint that hides well hides.
const VERY: [&str; 27] = [
    "very",
    "well",
    "fully",
    "completely",
    "quite",
    "gut",
    "sehr",
    "voll",
    "vollig",
    "bien",
    "tres",
    "muy",
    "molto",
    "zeer",
    "goed",
    "heel",
    "meget",
    "godt",
    "mycket",
    "bra",
    "bardzo",
    "dobrze",
    "velmi",
    "dobre",
    "ultra",
    "extra",
    "finish",
];

/// Words, alone or before another, that halve a degree.
const HALF: [&str; 13] = [
    "semi",
    "demi",
    "half",
    "halb",
    "halv",
    "mi",
    "mezzo",
    "medio",
    "polo",
    "pol",
    "seiden",
    "partly",
    "teilweise",
];

/// What half of a degree is called.
fn halved(own: &str) -> Option<&'static str> {
    Some(match own {
        "opaque" => "semi-opaque",
        "transparent" => "semi-transparent",
        "matt" | "gloss" => "satin",
        _ => return None,
    })
}

/// Marks on tubes that show how well a paint covers: a filled square, half a one, an empty one (common practice, no
/// source); and boxes that are ticked or not.
fn by_mark(text: &str, words: OwnWords) -> Option<&'static str> {
    if words == YES_NO {
        return match text.trim() {
            "☑" => Some("yes"),
            "☐" => Some("no"),
            _ => None,
        };
    }
    if words != OPACITIES {
        return None;
    }
    match text.trim() {
        "■" | "◼" | "●" => Some("opaque"),
        "◪" | "◩" | "◧" | "◨" | "◐" | "◑" => Some("semi-opaque"),
        "□" | "◻" | "○" => Some("transparent"),
        _ => None,
    }
}

/// Reads a cell that gives a degree: a word of it that is not known may turn it round ("covers poorly"), so none is
/// passed over.
pub(super) fn degree(text: &str, words: OwnWords) -> Meaning {
    if let Some(own) = by_mark(text, words) {
        return Meaning::Taken(own);
    }
    let folded = fold(text);
    let fillers = [&FILLERS[..], &VERY[..]];
    if let Some(found) = as_a_whole(text, &folded, words, &fillers) {
        return found;
    }
    let meat = without(&folded, &fillers);
    let half = HALF.iter().find_map(|half| {
        let rest = meat.strip_prefix(half)?.trim_start();
        whole(rest, words).and_then(halved)
    });
    if let Some(own) = half {
        return Meaning::Taken(own);
    }
    let mut rest = format!(" {meat} ");
    let mut known: Vec<String> = (words.iter())
        .flat_map(|(own, others)| {
            std::iter::once(fold(own)).chain(words_of(others).map(str::to_owned))
        })
        .filter(|word| word.len() > 2)
        .collect();
    known.sort_by_key(|word| std::cmp::Reverse(word.len()));
    for word in known {
        rest = rest.replace(&format!(" {word} "), "  ");
    }
    if rest.trim().is_empty() {
        meaning(text, words)
    } else {
        Meaning::Nothing
    }
}

/// Reads a cell by a table of words: the whole cell, then without fillers, then the words that stand in it.
pub(super) fn meaning(text: &str, words: OwnWords) -> Meaning {
    if let Some(own) = by_mark(text, words) {
        return Meaning::Taken(own);
    }
    let folded = without_what_is_absent(&fold(text));
    if folded.is_empty() && !fold(text).is_empty() {
        return Meaning::Nothing;
    }
    if let Some(found) = as_a_whole(text, &folded, words, &[&FILLERS]) {
        return found;
    }
    // "not opaque" is anything but opaque.
    if words_of(NOT).any(|not| holds_phrase(&folded, not)) {
        return Meaning::Nothing;
    }
    // Letters that stand for a word count only alone.
    let mut found: Vec<&'static str> = words
        .iter()
        .filter(|(own, others)| {
            let own = fold(own);
            let stands = |word: &str| word.len() > 2 && holds_phrase(&folded, word);
            stands(&own) || words_of(others).any(stands)
        })
        .map(|(own, _)| *own)
        .collect();
    if found.len() > 1 && found.iter().any(|word| KINDS_OF_MEDIA.contains(word)) {
        found.retain(|word| KINDS_OF_MEDIA.contains(word));
    }
    // "semi-transparent" holds "transparent": the longer word is meant.
    let longest: Vec<&'static str> = found
        .iter()
        .filter(|word| {
            !found
                .iter()
                .any(|other| other.len() > word.len() && other.ends_with(**word))
        })
        .copied()
        .collect();
    match longest[..] {
        [] => Meaning::Nothing,
        [only] => Meaning::Taken(only),
        _ => Meaning::Several(longest),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_folded_to_plain_words() {
        assert_eq!(fold("  Größe (ml) "), "grosse ml");
        assert_eq!(fold("Couleur d’été"), "couleur d ete");
        assert_eq!(fold("e\u{301}te\u{301}"), "ete");
        assert_eq!(fold("on_hand_ml"), "on hand ml");
    }

    #[test]
    fn every_word_stands_for_one_thing_in_its_table() {
        for words in [
            MEDIA, OPACITIES, FINISHES, EFFECTS, YES_NO, SWATCHES, GRAINS, MATERIALS,
        ] {
            let mut seen: Vec<(String, &str)> = Vec::new();
            for (own, others) in words {
                for word in words_of(others) {
                    assert_eq!(word, fold(word), "not folded");
                    if let Some((_, first)) = seen.iter().find(|(w, _)| w == word) {
                        assert_eq!(first, own, "{word} stands for both");
                    }
                    seen.push((word.to_owned(), own));
                }
            }
        }
        for columns in [PAINT_COLUMNS, SCATTER_COLUMNS] {
            for (at, column) in columns.iter().enumerate() {
                for word in words_of(column.words).filter(|w| !w.starts_with('?')) {
                    assert_eq!(word, fold(word), "not folded");
                    let other = columns[..at]
                        .iter()
                        .find(|c| words_of(c.words).any(|w| w == word));
                    assert!(other.is_none(), "{word}: {} and {other:?}", column.name);
                }
            }
        }
    }

    #[test]
    fn a_cell_is_read_by_its_words() {
        for (text, means) in [
            ("Acrylic paint", "acrylic"),
            ("water based", "acrylic"),
            ("Wasser-basis", "acrylic"),
            ("Peinture à l'huile", "oil"),
            ("acrylic ink", "ink"),
            ("acrylic varnish, matt", "varnish"),
            ("Ölfarbe", "oil"),
            ("Enamel (model)", "enamel"),
        ] {
            assert_eq!(meaning(text, MEDIA), Meaning::Taken(means), "{text}");
        }
        assert_eq!(meaning("ACRYLIC", MEDIA), Meaning::Own("acrylic"));
        assert_eq!(
            meaning("acrylic lacquer", MEDIA),
            Meaning::Several(vec!["acrylic", "lacquer"])
        );
        assert_eq!(meaning("acryllic", MEDIA), Meaning::Nothing);
        for (text, means) in [
            ("halb deckend", "semi-opaque"),
            ("semi couvrante", "semi-opaque"),
            ("semi-coprente", "semi-opaque"),
            ("halv täckande", "semi-opaque"),
            ("semi-trasparente", "semi-transparent"),
            ("halb transparent", "semi-transparent"),
            ("sehr gut deckend", "opaque"),
            ("very transparent", "transparent"),
            ("peu couvrant", "semi-transparent"),
        ] {
            assert_eq!(degree(text, OPACITIES), Meaning::Taken(means), "{text}");
        }
        for (text, means) in [
            ("semi-mat", "satin"),
            ("half gloss", "satin"),
            ("seiden-matt", "satin"),
            ("very glossy", "gloss"),
        ] {
            assert_eq!(degree(text, FINISHES), Meaning::Taken(means), "{text}");
        }
        // What is not known of a degree may turn it round.
        for text in [
            "schlecht deckend",
            "poco coprente",
            "słabo kryjąca",
            "less opaque",
            "high transparency",
            "covers poorly - opaque in 3 coats",
            "not opaque",
        ] {
            assert_eq!(degree(text, OPACITIES), Meaning::Nothing, "{text}");
        }
        assert_eq!(degree("low gloss", FINISHES), Meaning::Nothing);
        assert_eq!(
            meaning("Semi-Transparent", OPACITIES),
            Meaning::Own("semi-transparent")
        );
        assert_eq!(effect_among("Acryl Metallic"), Some("metallic"));
        assert_eq!(effect_among("non metallic acrylic"), None);
        assert_eq!(effect_among("acrylic"), None);
        assert!(is_thin("Acrylic wash") && is_thin("ink") && !is_thin("washed denim"));
    }
}
