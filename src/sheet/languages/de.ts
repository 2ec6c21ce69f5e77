// Everything a sheet says, in German. No text here gives an order of switching off or on: that is the manifest's
// alone. What a person writes down for the record is said in German with the word that the record knows beside it.

import type { Hazard } from '../../manifest/schema.ts';
import type { AlwaysCaution, CautionText } from '../cautions.ts';
import type { SheetLanguage } from '../language.ts';
import { glue, internationalSpelling, listWith, spanOfTime, withComma } from '../language-parts.ts';

const always: Record<AlwaysCaution, CautionText> = {
  codes: {
    title: 'Örtliche Vorschriften und das Handbuch des Herstellers gehen diesem Blatt vor.',
    text: 'Wo sie mehr oder anderes verlangen, gilt, was sie sagen. Widersprechen sich zwei von ihnen: anhalten und fragen.',
  },
  licensed: {
    title: 'Nur zugelassene Fachkräfte, und nicht allein.',
    text: 'Nur das tun, was Ihre Zulassung und die örtlichen Vorschriften erlauben. Eine zweite Person bleibt in Rufweite und weiß, wen sie anruft.',
  },
  'not-dead': {
    title: 'Ein dunkles Licht beweist keine Spannungsfreiheit.',
    text: 'Messgerät an einer bekannten Quelle prüfen, messen, Messgerät noch einmal prüfen. Bis dahin gilt alles als unter Spannung.',
  },
  discharge: {
    title: 'Die längere Entladezeit abwarten.',
    text: 'Nennt das Typenschild eine und dieses Blatt eine, so gilt die längere von beiden. Danach messen.',
  },
  'stays-live': {
    title: 'Manches bleibt unter Spannung, was auch abgeschaltet ist.',
    text: 'Batteriepole lassen sich nicht abschalten. PV steht bei Licht unter Spannung. Wechselrichter können rückspeisen und von selbst wieder anlaufen. Ein Ersatzstromausgang kann unter Spannung stehen.',
  },
  locks: {
    title: 'Schlösser und Schilder.',
    text: 'Jede Person bringt ihr eigenes Schloss und Schild an, wie es die örtlichen Vorschriften verlangen, und nimmt kein fremdes ab.',
  },
  leave: {
    title: 'Rauch, Geruch, Zischen, Aufblähen oder Hitze: weggehen.',
    text: 'Menschen hinausbringen, andere fernhalten, den Notruf wählen. Menschen gehen der Firmware vor.',
  },
  writing: {
    title: 'Strom nicht abschalten und Karte nicht ziehen, solange das Gerät schreibt,',
    text: 'außer der Hersteller sagt es. Ist nicht zu erkennen, ob es schreibt, so gilt: es schreibt.',
  },
  'switch-on': {
    title: 'Vor dem Wiedereinschalten:',
    text: 'Abdeckungen zu, Menschen aus dem Bereich, eigene Schlösser ab, Kunde unterrichtet.',
  },
};

const hazards: Record<Hazard, CautionText> = {
  'battery-dc': {
    title: 'Batterie, Gleichspannung.',
    text: 'Eine Batterie behält ihre volle Spannung, wie die Schalter auch stehen. Ein Kurzschluss verbrennt, blendet und schleudert heißes Metall. Keine Ringe, Uhren, losen Werkzeuge; isoliertes Werkzeug, Kleidung und Abstände nach Handbuch des Herstellers und örtlichen Vorschriften.',
  },
  'mains-ac': {
    title: 'Netzspannung.',
    text: 'Netzspannung tötet. Es kann mehr als eine Einspeisung geben, und ein Schalter am Gerät trennt womöglich nicht alle. Wo freigeschaltet wird, steht im Handbuch des Herstellers und in den Plänen der Anlage; freischalten dürfen nur zugelassene Fachkräfte.',
  },
  'pv-dc': {
    title: 'PV, Gleichspannung.',
    text: 'PV-Leitungen stehen unter Spannung, sobald Licht auf die Module fällt. Ein Lichtbogen bei Gleichspannung erlischt nicht von selbst. Nie einen PV-Stecker unter Last trennen. Freischalten nur, wie das Handbuch des Herstellers und örtliche Vorschriften es sagen.',
  },
  'stored-charge': {
    title: 'Gespeicherte Ladung.',
    text: 'Kondensatoren halten nach dem Abschalten eine gefährliche Spannung, und sie kann wiederkehren. Die längere Zeit von Typenschild und Blatt abwarten, dann messen, wie es die Fachpraxis verlangt.',
  },
  'automatic-restart': {
    title: 'Läuft von selbst an.',
    text: 'Das Gerät kann ohne Warnung anlaufen: durch eine Zeitschaltung, ein Signal, wiederkehrendes Netz oder Sonne, oder wenn neue Firmware eingespielt ist. Menschen und Hände fernhalten. Was es am Anlaufen hindert, steht im Handbuch des Herstellers.',
  },
  backfeed: {
    title: 'Rückspeisung.',
    text: 'Auch ohne Netz kann Spannung aus einem Wechselrichter, einer Batterie, einem Generator oder einem anderen Stromkreis kommen. Beide Seiten eines offenen Schalters gelten als unter Spannung, bis gemessen ist. Alle Quellen stehen in den Plänen der Anlage und im Handbuch des Herstellers.',
  },
  'backup-output-live': {
    title: 'Ersatzstromausgang.',
    text: 'Der Ersatzstromausgang kann auch ohne Netz unter Spannung stehen und jederzeit zuschalten. Den Kunden fragen, was daran hängt; diese Stromkreise gelten als unter Spannung, bis nach örtlichen Vorschriften gemessen ist.',
  },
  'vehicle-connected': {
    title: 'Angeschlossenes Fahrzeug.',
    text: 'Ein Fahrzeug bringt eine eigene Batterie mit, kann rückspeisen und den Stecker verriegelt halten. Nie einen Stecker mit Gewalt lösen. Ob bei dieser Arbeit ein Fahrzeug angeschlossen sein darf, steht im Handbuch des Herstellers; die Fahrerin oder den Fahrer fragen, nicht raten.',
  },
  'moving-parts': {
    title: 'Bewegte Teile.',
    text: 'Wellen, Riemen, Lüfter und Ventile können sich ohne Warnung bewegen und nach dem Abschalten nachlaufen. Hände, Haare und Ärmel fernhalten, Schutzabdeckungen dran. Was gesperrt oder blockiert werden muss, steht im Handbuch des Herstellers und in örtlichen Vorschriften.',
  },
  'hot-surfaces': {
    title: 'Heiße Oberflächen.',
    text: 'Kühlkörper, Motoren und Rohre verbrennen die Haut noch lange nach dem Abschalten. Abkühlen lassen oder tragen, was das Handbuch des Herstellers verlangt.',
  },
  pressure: {
    title: 'Druck.',
    text: 'Rohre und Behälter können unter Druck stehen, auch wenn alles ruht. Für diese Arbeit keine Verbindung öffnen. Druck wird nur abgelassen, wie das Handbuch des Herstellers es sagt, und nur von denen, die es nach örtlichen Vorschriften dürfen.',
  },
  refrigerant: {
    title: 'Kältemittel.',
    text: 'Ein Leck kann die Atemluft verdrängen, die Haut erfrieren oder Feuer fangen. Diese Arbeit öffnet den Kreis nicht. Bei einem Leck den Raum verlassen; alles Weitere ist Sache von Personen, die nach örtlichen Vorschriften für Kältemittel zugelassen sind.',
  },
  heavy: {
    title: 'Schwere Teile.',
    text: 'Türen, Abdeckungen und Module können schwerer sein, als sie aussehen, und beim Lösen fallen. Zwei Personen oder Hebezeug, wie Handbuch des Herstellers und örtliche Vorschriften es verlangen.',
  },
  'work-alone': {
    title: 'Hier nicht allein arbeiten.',
    text: 'Eine zweite Person bleibt die ganze Zeit in Sicht- und Hörweite und kann Hilfe rufen. Vor Beginn absprechen, wann gerufen wird und wo Hilfe hereinkommt, wie örtliche Vorschriften es verlangen.',
  },
};

function plural(count: number, one: string, many: string): string {
  return `${count}${glue}${count === 1 ? one : many}`;
}

/** `90 s`, `7 min`, `1 h 20 min`, `0,4 s`. */
function duration(seconds: number): string {
  return spanOfTime(seconds, withComma);
}

/** `a`, `a und b`, `a, b und c`. */
function list(items: readonly string[], last: 'and' | 'or' = 'and'): string {
  return listWith(items, last === 'and' ? 'und' : 'oder');
}

export const de: SheetLanguage = {
  code: 'de',
  name: 'Deutsch',
  always,
  hazards,
  duration,
  list,

  head: {
    sheet: 'BLATT',
    work: (version) => `Neue Firmware ${version} per Speicherkarte`,
    maker: (maker) => `Hersteller ${maker}`,
    made: (day, time) => `erstellt ${day} ${time}`,
    by: (name) => `von ${name}`,
    oneUnit: 'Für ein Gerät; die Seriennummer wird von Hand eingetragen.',
    units: (count) => `Für ${plural(count, 'Gerät', 'Geräte')}.`,
    foot: (number, page, pages) => `Blatt ${number}   Seite ${page} von ${pages}`,
    continued: 'Fortsetzung',
  },

  sections: {
    cautions: 'VORSICHT',
    source: 'WOHER DIES KOMMT, UND VON WELCHEM STAND',
    time: 'ZEIT',
    bring: 'WAS MITZUNEHMEN IST',
    units: 'GERÄTE',
    rules: 'WIE ALLES STEHT, UND WAS NIE SEIN DARF',
    before: 'BEVOR SIE ETWAS ANFASSEN',
    procedure: 'DER ABLAUF DES HERSTELLERS',
    after: 'DANACH',
    lights: 'WAS DIE LICHTER SAGEN',
    failure: 'WENN ES FEHLSCHLÄGT ODER ETWAS NICHT IST, WIE DAS BLATT SAGT',
    results: 'ERGEBNISSE: VOR ORT AUSFÜLLEN, DANN FOTOGRAFIEREN',
  },

  cautions: {
    readAloud:
      'Vor Beginn laut lesen. Dies erinnert, es lehrt nicht: Wie es sicher geht, steht in örtlichen Vorschriften, im Handbuch des Herstellers und in der Praxis zugelassener Fachkräfte. Schritte und Bedeutungen stehen so da, wie das Manifest sie schreibt.',
    here: 'Dieses Gerät:',
    maker: 'Aus dem Manifest dieses Produkts:',
    emergency: 'Notruf, Nummer hier:',
    secondPerson: 'Zweite Person:',
  },

  source: {
    document: 'Dokument',
    issue: (issue) => `Ausgabe ${issue}`,
    page: (page) => `Seite ${page}`,
    manifest: 'Manifest',
    revision: (id, revision) =>
      revision === null ? `${id}, ohne Angabe der Fassung` : `${id}, Fassung ${revision}`,
    writtenBy: 'Verfasst von',
    checkedBy: 'Geprüft von',
    notNamed: 'nicht genannt',
    warning: 'WARNUNG:',
    warnings: {
      'no-source':
        'Kein Dokument des Herstellers ist als Quelle dieses Ablaufs genannt. Mit dem Handbuch des Herstellers vergleichen.',
      'no-writer': 'Niemand ist genannt, der diesen Ablauf aufgeschrieben hat.',
      'not-checked':
        'Niemand ist genannt, der diesen Ablauf mit dem Dokument des Herstellers verglichen hat.',
      'same-checker':
        'Dieselbe Person hat diesen Ablauf aufgeschrieben und geprüft. Niemand sonst hat ihn verglichen.',
      'dead-test-missing':
        'Dieses Gerät kann Spannung halten, wenn alles abgeschaltet ist, und kein Schritt dieses Ablaufs misst sie. Die Serviceleitung fragen, ob das Dokument des Herstellers es tut.',
      'discharge-wait-missing':
        'Dieses Gerät speichert Ladung, und kein Schritt dieses Ablaufs wartet ihr Abklingen ab. Nach dem Typenschild gehen und die Serviceleitung fragen.',
    },
    gaps: 'Ablauf',
    gapsChecked: 'auf Lücken geprüft; keine Sicherheitsfreigabe',
    gapsNotChecked: 'NICHT auf Lücken geprüft',
    release: 'Release',
    issued: (day) => `herausgegeben ${day}`,
    priority: { safety: 'der Sicherheit wegen', required: 'vorgeschrieben', recommended: 'empfohlen' },
    due: (day) => `fällig bis ${day}`,
    notes: 'Hinweise',
    withdrawn: 'Widerrufen?',
    notWithdrawn: (id) => `${id} ist nicht widerrufen, soweit dieser Laptop weiß.`,
    newsAsOf: (day, days) =>
      `Zuletzt kamen Manifeste am ${day} auf diesen Laptop, ${days === 0 ? 'am Tag der Erstellung' : `${plural(days, 'Tag', 'Tage')} vor der Erstellung`}.`,
    newsUnknown: 'Wann zuletzt Manifeste auf diesen Laptop kamen, ist nicht bekannt.',
    newsOld:
      'Dieser Stand ist alt, über sieben Tage, oder nicht bekannt. Vor der Abfahrt die Serviceleitung fragen, ob das Release noch gilt.',
    record: 'Aufzeichnung',
    noRecord: 'auf diesem Laptop gibt es noch keine',
    mark: (mark) => `Marke ${mark} (neuester Eintrag des Laptops, der dies erstellt hat)`,
  },

  time: {
    longest: (longest) => `Ein Gerät dauert höchstens ${longest}, auf dem längsten Weg durch den Ablauf.`,
    shortest: (shortest) => `Wenn alles gut geht, dauert es etwa ${shortest}.`,
    unknown: 'Der längste Weg durch den Ablauf ist nicht bekannt. Mit der Serviceleitung planen.',
    assumedIntro: 'Angenommen, wo das Manifest keine Zeit nennt:',
    assumed: {
      do: '2 Minuten für einen Schritt ohne Zeit',
      measure: '1 Minute für eine Messung, eine halbe für jeden Messwert, 1 Minute zum Prüfen des Messgeräts',
      watch: 'die ganze erlaubte Zeit für jedes Beobachten der Lichter, im längsten Fall',
      read: '1 Minute zum Ablesen der Version',
      confirm: '1 Minute für jedes Zeichen des Betriebs',
    },
    plate: (numbers) =>
      `Ist die Zeit auf dem Typenschild bei Schritt ${list(numbers.map(String), 'or')} länger als die des Blatts, den Unterschied dazurechnen.`,
    latestAny: (time, ends) => `Der Tag endet um ${ends}. NACH ${time} KEIN GERÄT MEHR BEGINNEN.`,
    latestFirst: (time, count) =>
      `Für alle ${count}, eines nach dem anderen: DAS ERSTE BIS ${time} BEGINNEN.`,
    counted: (count) =>
      count === 1
        ? 'Zurückgerechnet vom Ende des Tages: eine Stunde Reserve, dann einmal der längste Weg.'
        : 'Zurückgerechnet vom Ende des Tages: eine Stunde Reserve, dann der längste Weg, einmal für jedes Gerät, das noch zu tun ist. Wege von Gerät zu Gerät und das Schreiben gehen von der Reserve ab.',
    shared: 'Was einmal für den Standort getan wird, ist einmal gezählt.',
    doesNotFit: (ends) => `Ein Tag, der um ${ends} endet, hat dafür keine Zeit. DANN NICHT BEGINNEN.`,
    notAllFit: (count, ends, fit) =>
      `Nicht alle ${count} passen in einen Tag, der um ${ends} endet: höchstens ${fit}, ab Mitternacht.`,
    byHand: (total) =>
      `Ende des Tages um${glue}____:____ weniger ${total}: kein Gerät beginnen nach${glue}____:____`,
    byHandNote: 'Das ist einmal der längste Weg und eine Stunde Reserve.',
    late: 'Später nicht beginnen: das Gerät lassen, wie es ist, und „deferred“ (aufgeschoben), no-time (keine Zeit), eintragen.',
  },

  bring: {
    sheet: 'Dieses Blatt, jede Seite, und einen Stift.',
    manual: (document) => `Das Handbuch des Herstellers: ${document}.`,
    makersManual: 'Das Handbuch des Herstellers zu diesem Produkt.',
    oneCard: (id) =>
      `1 Speicherkarte, für ${id} vorbereitet und als bereit gezeigt. Das Gerät lässt sie unverändert; sie dient allen Geräten dieser Art, einem nach dem anderen.`,
    cardEach: (count, id) =>
      `${plural(count, 'Speicherkarte', 'Speicherkarten')}${count === 1 ? '' : ', eine je Gerät, jede'} für ${id} vorbereitet und als bereit gezeigt. Das Gerät verändert die Karte, eine gebrauchte muss neu vorbereitet werden.`,
    meter: 'Ein für diese Arbeit zugelassenes Spannungsmessgerät und eine bekannte Quelle, um es zu prüfen.',
    locks: 'Eigenes Schloss und Schild, ein Satz je Person.',
    phone: (helpline) =>
      `Ein Telefon, das dort Empfang hat, und die Nummer der Hilfe des Herstellers: ${helpline}.`,
    phoneOnly: 'Ein Telefon, das dort Empfang hat, und die Nummer der Serviceleitung.',
  },

  units: {
    row: 'Zeile',
    serial: 'Seriennummer',
    site: 'Standort',
    revision: 'Rev.',
    last: 'Zuletzt bekannt',
    notKnown: 'nicht bekannt',
    read: (version, day) => `${version}, abgelesen ${day}`,
    reported: (version, day) => `${version}, nur gemeldet ${day}`,
    failed: (day) => `Update fehlgeschlagen ${day}`,
    unread: (version, day) => `Update auf ${version} am ${day}, seither nicht abgelesen: zuerst ablesen`,
    left: {
      running: 'in Betrieb zurückgelassen',
      off: 'abgeschaltet zurückgelassen',
      'locked-off': 'abgeschaltet und gesperrt zurückgelassen',
      'no-life': 'ohne Lebenszeichen zurückgelassen',
    },
    details: {
      role: 'Aufgabe',
      address: 'Adresse',
      contact: 'Kontakt',
      access: 'Zugang',
      notes: 'Hinweise',
    },
    order:
      'Ein Gerät nach dem anderen, in der Reihenfolge der Zeilen. Eines beenden, Ergebnisse eingetragen, bevor das nächste begonnen wird. Jeder Schritt hat ein Kästchen für jede Zeile.',
    byRole:
      'Die Zeilen stehen in der Reihenfolge der Aufgaben der Geräte, wie das Manifest sie aus dem Dokument des Herstellers nennt. Keines beginnen, solange eines davor noch zu tun ist.',
    revisionNotKnown: 'Revision nicht bekannt: nach dem Typenschild gehen',
  },

  rules: {
    starts: 'Davon geht der Ablauf aus; steht etwas anders, nicht beginnen und fragen:',
    later: (placed) => `bei jedem Gerät nach dem ersten: ${placed}`,
    never: 'Nie zugleich:',
    whileBusy: 'Solange das Gerät schreiben kann, muss dies bleiben, wie es ist:',
  },

  placed: (position, state) => `${position} ${state}`,
  placedTogether: (placings) => list(placings, 'and'),

  steps: {
    step: (number) => `Schritt${glue}${number}`,
    onlyFrom: (numbers) =>
      `Nur wenn ein anderer Schritt hierher schickt (${list(numbers.map(String), 'or')}).`,
    onlyFromNowhere: 'Kein Schritt führt hierher.',
    goTo: (number) => `WEITER MIT SCHRITT${glue}${number}`,
    goOn: (number) => `weiter mit Schritt${glue}${number}`,
    stay: 'WEITER BEOBACHTEN',
    takes: (time) => `(etwa${glue}${time})`,
    why: 'Warum:',
    needs: 'Zuerst sehen, dass:',
    sets: 'Jetzt:',
    once: {
      first:
        'EINMAL FÜR DEN STANDORT: nur beim ersten Gerät, das hier an einem Tag gemacht wird. Bei jedem anderen weiter mit dem nächsten Schritt.',
      last: 'EINMAL FÜR DEN STANDORT: nur beim letzten Gerät, das hier an einem Tag gemacht wird, oder vor dem Weggehen, wenn keines mehr begonnen werden kann. Bei jedem anderen weiter mit dem nächsten Schritt.',
    },
    endsSite:
      'Die Arbeit an diesem Standort endet hier: kein anderes Gerät beginnen, bevor die Hilfe des Herstellers oder die Serviceleitung es sagt.',
    done: 'getan:',
    rowMark: (row, lastFour) => (lastFour === null ? `Zeile ${row}` : `Zeile ${row} (..${lastFour})`),

    identify:
      'IST DIES DAS GERÄT? Das Typenschild lesen. Die letzten vier Zeichen der Seriennummer und die Hardware-Revision in die Zeile bei den Ergebnissen schreiben, vom Typenschild, nicht von diesem Blatt.',
    identifyMatch: (revisions) =>
      `Sie müssen die der Zeile sein, und die Revision eine von: ${revisions.join(', ')}.`,
    identifyOtherwise:
      'Sind sie es nicht: Dies ist nicht das Gerät. Anhalten. Nichts ist angefasst; „deferred“ (aufgeschoben), wrong-hardware (falsche Hardware), eintragen.',
    versionBefore:
      'DIE VERSION VORHER NOTIEREN, wie das Gerät sie zeigt, Zeichen für Zeichen, in die Zeile bei den Ergebnissen.',
    fromAny: 'Dieses Release darf auf jede Version folgen außer auf die eigene.',
    fromRange: (atLeast, below) => {
      const low = atLeast === null ? '' : `auf ${atLeast} oder später`;
      const high = below === null ? '' : `auf eine Version vor ${below}`;
      return `Dieses Release darf folgen ${[low, high].filter(Boolean).join(', aber nur ')}.`;
    },
    fromList: (versions) => `Dieses Release darf auf ${list(versions, 'or')} folgen, und auf nichts anderes.`,
    versionSame:
      'Ist es schon die Version im Kopf von Seite 1: nicht installieren. „already-current“ (schon aktuell) eintragen.',
    versionOther:
      'Ist es eine andere Version: nicht installieren. „deferred“ (aufgeschoben) eintragen und die Serviceleitung fragen.',
    versionUnreadable:
      'Ist sie nicht zu lesen: nicht beginnen, bevor die Serviceleitung es sagt; aufschreiben, was zu sehen war.',
    settings: 'DIESE EINSTELLUNGEN NOTIEREN, bevor es beginnt; die neue Firmware setzt sie zurück.',
    settingBefore: 'vorher',
    settingRestored: 'wieder eingestellt',
    restore: 'DIE EINSTELLUNGEN WIEDERHERSTELLEN, die notiert wurden, jede einzelne.',
    restoreSee: (number) => `Sie stehen bei Schritt${glue}${number}.`,
    service: 'WIEDER IN BETRIEB? Jetzt, wo alles getan ist, noch einmal sehen:',
    serviceOtherwise:
      'Ist eines davon nicht so, ist es nicht „updated“: anhalten und die Hilfe des Herstellers oder die Serviceleitung anrufen.',
    condition:
      'WIE WIRD DAS GERÄT ZURÜCKGELASSEN? Bei den Ergebnissen eintragen: running (in Betrieb), off (abgeschaltet), locked-off (abgeschaltet und gesperrt) oder no-life (ohne Lebenszeichen).',
    conditionPositions: 'Hier eintragen, wie jedes Ding steht:',
    told: 'DEM KUNDEN SAGEN, was getan wurde, wie das Gerät zurückgelassen wird und was nicht eingeschaltet werden darf. Den Namen aufschreiben, wem es gesagt wurde.',
    tell: 'Dann in die Aufzeichnung geben: Ergebnis, abgelesene Version, wie zurückgelassen, von wem und wann, Zeile für Zeile.',

    wait: (time) => `${time} WARTEN.`,
    waitPlate: (time) => `WARTEN, und zwar das Längere von ${time} und der Entladezeit auf dem Typenschild.`,
    plateTime: `Typenschild${glue}sagt${glue}________ ${glue} begonnen${glue}____:____ ${glue} zu${glue}Ende${glue}um${glue}____:____`,
    waitTime: `begonnen${glue}____:____ ${glue} zu${glue}Ende${glue}um${glue}____:____`,
    hold: (what, min, max) =>
      `${what} ${min === max ? duration(min) : `${duration(min)} bis ${duration(max)}`} lang HALTEN, laut mitzählen.`,
    measure: (what) => `MESSEN: ${what}.`,
    limits: (from, to, unit) =>
      `Jeder Messwert muss zwischen ${withComma(from)} und ${withComma(to)} ${unit} liegen, mit Vorzeichen.`,
    meterBefore: 'Messgerät vorher an bekannter Quelle gut',
    meterAfter: 'Messgerät danach an bekannter Quelle gut',
    meterBad:
      'Zeigt sich das Messgerät nicht beide Male gut, zählen seine Werte nichts: ein anderes nehmen und noch einmal messen.',
    reading: 'Messwert',
    allWithin: 'Alle innerhalb:',
    anyOutside: 'Einer außerhalb:',
    watch: (within) =>
      `DIE LICHTER BEOBACHTEN. Höchstens ${within} jedes Mal, wenn ein Schritt hierher führt; noch einmal hinsehen beginnt die Zeit nie neu.`,
    watchHands: 'Dabei den Strom nicht abschalten und die Karte nicht ziehen.',
    watchTime: `begonnen${glue}____:____ ${glue} zu${glue}Ende${glue}um${glue}____:____`,
    youSee: 'Zu sehen ist',
    itMeans: 'Es heißt',
    doThis: 'Zu tun',
    timeUp: 'Die Zeit ist um, und es wird noch beobachtet',
    timeUpMeans: 'Zu spät',
    otherLights: 'Lichter, die nicht auf dieser Liste stehen',
    otherLightsMeans: 'Nicht bekannt',
    mayWrite: 'schreibt vielleicht',
    readVersion: (where) =>
      `DIE VERSION ABLESEN${where === null ? '' : ` (${where})`} und bei den Ergebnissen eintragen, Zeichen für Zeichen, bevor verglichen wird.`,
    readSame: 'Die Version im Kopf von Seite 1:',
    readOther: 'Eine andere Version:',
    readUnreadable: 'Nicht zu lesen:',
    confirm: 'WIEDER IN BETRIEB? Jedes davon sehen und abhaken:',
    confirmNoList:
      'Sehen, dass das Gerät wieder in Betrieb ist, wie das Handbuch des Herstellers es beschreibt.',
    confirmAll: 'Alles so:',
    confirmOtherwise: 'Eines nicht so:',
    tries: (tries, otherwise) =>
      `Höchstens ${tries === 1 ? 'einmal' : `${tries}-mal`} für ein Gerät. Ist das aufgebraucht, nicht tun: WEITER MIT SCHRITT${glue}${otherwise}.`,
    tickTries: 'jedes Mal abhaken:',
    end: {
      updated: 'ENDE: AKTUALISIERT (UPDATED).',
      failed: 'ENDE: FEHLGESCHLAGEN (FAILED).',
      deferred: 'ENDE: AUFGESCHOBEN (DEFERRED).',
    },
    endStands: 'Alles muss jetzt so stehen:',
    endLeft: 'so zurückgelassen',
    endWrite: {
      updated: 'Bei den Ergebnissen „updated“ eintragen.',
      failed: 'Bei den Ergebnissen „failed“ eintragen.',
      deferred: 'Bei den Ergebnissen „deferred“ eintragen.',
    },
  },

  lights: {
    intro:
      '# leuchtet, . ist dunkel; jeder Streifen läuft über die Zeit daneben. Das Blinken zehn Sekunden lang zählen, nicht raten.',
    introDrawn:
      'Ein Block leuchtet, ein bloßer Strich ist dunkel; jeder Streifen läuft über die Zeit daneben. Das Blinken zehn Sekunden lang zählen, nicht raten.',
    drawnAt: (numbers) => `Was sie bei Schritt ${list(numbers.map(String))} zeigen, ist dort gezeichnet.`,
    on: 'an',
    off: 'aus',
    allOff: 'alle Lichter aus',
    othersOff: 'alle anderen aus',
    colourOn: (colour) => `an, ${colour}`,
    light: (label, colours) => `${label} (${list(colours, 'or')})`,
    flashes: (colour, perMinute) => {
      const what = `blinkt ${colour === null ? '' : `${colour}, `}${perMinute}-mal in der Minute`;
      const count = perMinute / 6;
      if (perMinute > 240) return `${what}: so schnell, dass es wie an aussieht`;
      if (count < 1) return `${what}: einmal alle ${duration(60 / perMinute)}`;
      return `${what}: etwa ${Math.round(count)} in zehn Sekunden`;
    },
    bursts: (colour, burst, pause) =>
      `${burst}-mal Blinken${colour === null ? '' : ` ${colour}`}, dann ${duration(pause)} dunkel, immer wieder`,
    sweep: (labels, step) => `${labels.join(', ')} leuchten nacheinander, je ${duration(step)}, immer wieder`,
    inTurn: (place, of) => `der Reihe nach, ${place} von ${of}`,
    display: (text) => `Anzeige zeigt „${text}“`,
    overTime: (seconds) => `in ${duration(seconds)}`,
    busy: 'Das Gerät schreibt vielleicht: Strom nicht abschalten, Karte nicht ziehen.',
  },

  failure: {
    people: 'Menschen zuerst. Rauch, Geruch, Zischen, Aufblähen oder Hitze: weggehen, den Notruf wählen.',
    stop: 'Anhalten, wo Sie sind. Dieses Blatt nennt keine Reihenfolge außer der gedruckten; keine erfinden.',
    writing:
      'Das Gerät schreibt vielleicht, solange es eines davon zeigt. Strom und Karte lassen, wie sie sind, und anrufen, bevor irgendetwas getan wird:',
    writingUnknown:
      'Ist nicht zu erkennen, ob es schreibt: Strom und Karte lassen, wie sie sind, und anrufen, bevor irgendetwas getan wird.',
    note: 'Für den Anruf notieren: Blattnummer, Schrittnummer, die Lichter, die Uhrzeit und wie jedes Ding steht.',
    helpline: 'Hilfe des Herstellers',
    hours: (hours) => `(${hours})`,
    noHelpline: 'Das Manifest nennt keine Hilfe des Herstellers. Die Serviceleitung anrufen:',
    helplineClosed:
      'Niemand erreichbar oder kein Empfang: alles lassen, wie es steht, Menschen fernhalten, die Serviceleitung anrufen.',
    outcome:
      'Auch ein Fehlschlag ist ein Ergebnis: „failed“ eintragen, wie das Gerät zurückgelassen wird, die Lichter und was zu sehen war.',
  },

  results: {
    intro: 'Eintragen, was zu sehen ist, nicht, was erwartet wird. Eine Zeile je Gerät.',
    serial: 'Seriennummer',
    plate: `Vom Typenschild: ${glue} letzte${glue}vier${glue}____________ ${glue} Revision${glue}________`,
    versionBefore: 'Version vorher',
    versionRead: 'Version abgelesen',
    outcome: 'Ergebnis',
    outcomes: [
      'updated (aktualisiert)',
      'failed (fehlgeschlagen)',
      'deferred (aufgeschoben)',
      'already-current (schon aktuell)',
    ],
    lights: 'Lichter am Ende',
    left: 'Zurückgelassen',
    leftChoices: [
      'running (in Betrieb)',
      'off (abgeschaltet)',
      'locked-off (gesperrt)',
      'no-life (ohne Lebenszeichen)',
    ],
    reason: 'Wenn aufgeschoben',
    reasons: [
      'no-access (kein Zugang)',
      'refused (Kunde lehnt ab)',
      'no-time (keine Zeit)',
      'unsafe (unsicher)',
      'wrong-hardware (falsche Hardware)',
      'no-card (keine Karte)',
      'other (anderes)',
    ],
    cause: 'Wenn fehlgeschlagen',
    causes: [
      'release (die Firmware)',
      'card (die Karte)',
      'unit (das Gerät)',
      'site (der Standort)',
      'safety (die Sicherheit)',
    ],
    card: 'Karte',
    caseNumber: 'Fallnummer',
    told: 'Kunde unterrichtet',
    by: 'Von',
    time: 'Tag und Uhrzeit',
    note: 'Notiz',
  },

  spoken: {
    box: 'Kästchen zum Abhaken',
    blank: 'einzutragen',
    code: (number) => `QR-Code mit der Nummer ${number} und dem Release dieses Blatts`,
    steps: 'Schritt',
  },

  slip: {
    title: 'FÜR DEN KUNDEN',
    head: (number) => `Zettel zu Blatt ${number}`,
    foot: (number, page, pages) => `Zettel zu Blatt ${number}   Seite ${page} von ${pages}`,
    intro:
      'So aufbewahren, dass alle es sehen, die etwas einschalten könnten. Es gilt, was hier angekreuzt und von Hand eingetragen ist.',
    day: 'Tag und Uhrzeit',
    site: 'Standort',
    equipment: 'Gerät',
    unit: (row) => `Gerät ${row}`,
    serial: 'Seriennummer',
    work: 'Neue Firmware',
    works: ['ist drin', 'ging nicht hinein', 'wurde nicht begonnen', 'war schon drin'],
    left: 'Es ist jetzt',
    lefts: ['in Betrieb', 'abgeschaltet', 'abgeschaltet und gesperrt', 'ohne Lebenszeichen'],
    stands: 'Wie jedes Ding steht und bleiben muss:',
    doNot: 'NICHT EINSCHALTEN, ÖFFNEN ODER ABZIEHEN:',
    until: 'bis diese Person es sagt:',
    rules: 'BITTE',
    asLeft:
      'Alles lassen, wie es hier angekreuzt ist, bis die hier genannte Person etwas anderes sagt. Kein Schloss und kein Schild abnehmen: das tut nur, wer es angebracht hat.',
    card: 'Keine Speicherkarte einschieben oder herausziehen.',
    writing:
      'Das Gerät schreibt vielleicht noch. Strom und Karte lassen, wie sie sind; nichts ab- oder einschalten.',
    inside:
      'Keine Abdeckung öffnen. Manche Teile darin bleiben unter Spannung, was auch abgeschaltet ist. Arbeiten im Gerät sind Sache zugelassener Fachkräfte, nach örtlichen Vorschriften und dem Handbuch des Herstellers, die diesem Zettel vorgehen.',
    hazards: {
      'automatic-restart': 'Es kann jederzeit von selbst anlaufen. Menschen und Hände fernhalten.',
      'backup-output-live':
        'Der Ersatzstromausgang kann auch ohne Netz unter Spannung stehen oder jederzeit zuschalten.',
      'vehicle-connected': 'Kein Fahrzeug anschließen, außer das Gerät ist in Betrieb zurückgelassen.',
      backfeed: 'Auch ohne Netz kann noch Spannung aus einer anderen Quelle kommen.',
    },
    never: 'Nie zugleich:',
    leave:
      'Rauch, Geruch, Zischen, Aufblähen oder Hitze: weggehen, andere fernhalten, den Notruf wählen. Den zuerst.',
    ring: 'WEN ANRUFEN',
    ringWhen:
      'Anrufen, bevor etwas ein- oder ausgeschaltet wird, und immer, wenn etwas nicht so ist, wie es hier steht.',
    emergency: 'Notruf',
    service: 'Servicefirma, zu jeder Stunde',
    lead: 'Serviceleitung',
    helpline: 'Hilfe des Herstellers',
    caseNumber: 'Fallnummer',
    told: 'Gesagt an (Name)',
    by: 'Von (Name)',
  },

  walk: {
    title: (serial, product) => `BESUCH BEI ${serial}, ${product}`,
    carries: (id) => `Mitgebrachte Firmware: ${id}`,
    source: (text) => `Der Ablauf des Herstellers, aus: ${text}`,
    leave:
      'Jede Antwort wird sofort festgehalten. Strg-C bricht den Besuch jederzeit ab; er lässt sich fortsetzen.',
    resumed: (when) =>
      `Dieser Besuch wurde ${when} begonnen und abgebrochen. Er geht weiter, wenn dies neu gesehen ist.`,
    before: 'VORHER',
    after: 'DANACH',
    anew: 'NEU ANSEHEN, BEVOR ES WEITERGEHT',
    stopped: 'ANGEHALTEN',
    caution: (number, count) => `VORSICHT ${number} von ${count}`,
    triesLeft: (count) =>
      count === 1 ? 'Dies ist das letzte Mal.' : `Noch ${count}-mal, dieses eingeschlossen.`,
    thenStands: 'Danach steht:',

    card: 'WELCHE KARTE IST IN IHRER HAND? Es muss die sein, die für dieses Release vorbereitet wurde. Ist sie hier lesbar, jetzt lesen.',
    cardName: 'Name der Karte, wie er darauf steht',
    cardPath: 'Laufwerk, Ordner oder Kartenabbild',
    cardRead: 'Die Karte wird gelesen …',
    cardReady: 'bereit: jedes Byte der Firmware-Datei wurde von ihr gelesen und stimmt',
    cardOther: 'eine andere Karte',
    cardWhy: {
      used: 'Sie war seit der Vorbereitung in einem Gerät, und diese Geräte verändern eine Karte.',
      'not-ready': 'Nach der Aufzeichnung wurde sie für anderes vorbereitet oder war nicht bereit.',
      'not-known': 'Die Aufzeichnung kennt sie nicht als vorbereitet.',
    },
    cardOf: (name, when) => `${name}, vorbereitet ${when}`,
    plate:
      'IST DIES DAS GERÄT? Zum Typenschild gehen. Eingeben, was das Typenschild sagt, nicht, was eine Liste sagt.',
    lastFour: 'Die letzten vier Zeichen der Seriennummer auf dem Typenschild',
    revision: 'Hardware-Revision auf dem Typenschild',
    versionBefore: 'WELCHE VERSION ZEIGT DAS GERÄT JETZT? Zeichen für Zeichen eingeben.',
    version: 'Version, wie die Anzeige sie zeigt',
    lead: 'DIE VERSION IST NICHT ZU LESEN. Die Serviceleitung anrufen. Nichts beginnt, bevor sie es sagt.',
    leadName: 'Wer sagt es?',
    settings:
      'DIESE EINSTELLUNGEN NOTIEREN. Die neue Firmware setzt sie zurück; danach stellen Sie sie wieder ein.',
    starts: 'STEHT ALLES SO? Davon geht der Ablauf aus, und von nichts anderem.',
    plateTime: (time) =>
      `Nennt das Typenschild des Geräts eine Entladezeit? Es gilt das Längere davon und ${time}. Die Zeit läuft schon.`,
    plateMinutes: 'Minuten auf dem Typenschild',
    waiting: (left) => `noch ${left} zu warten`,
    waited: 'Die Zeit ist um.',
    holdNow: 'Im selben Augenblick b drücken und den Knopf halten.',
    holding: (seconds, from, to) => `${seconds} s   (loslassen zwischen ${from} und ${to})`,
    meterBefore: 'An einer bekannten Quelle zeigen, dass das Messgerät gut ist. Ist es gut?',
    meterAfter: 'Noch einmal an einer bekannten Quelle zeigen, dass das Messgerät gut ist. Ist es gut?',
    reading: (number, count, between) =>
      count === 1 ? between : `Messwert ${number} von ${count}: ${between}`,
    review: 'Diese Messwerte gelten. Sind sie, was das Messgerät zeigte?',
    outside: 'außerhalb',
    watchLeft: (left) => `noch ${left}`,
    read: (where) =>
      `DIE VERSION AM GERÄT ABLESEN${where === null ? '' : ` (${where})`}. Zeichen für Zeichen eingeben.`,
    readAgain: 'Noch einmal auf die Anzeige sehen und neu eingeben, was auch immer dort steht.',
    sign: (number, count) => `WIEDER IN BETRIEB? ${number} von ${count}. Selbst ansehen:`,
    restore: (number, count) => `DIE EINSTELLUNG WIEDERHERSTELLEN, ${number} von ${count}:`,
    restoreTo: (before) => `Notiert war: ${before}`,
    position: (name) => `WIE STEHT DIES JETZT? Hingehen und ansehen: ${name}`,
    left: 'WIE WIRD DAS GERÄT ZURÜCKGELASSEN?',
    cause: 'WORAN SCHLUG ES FEHL?',
    reason: 'WARUM WIRD ES AUFGESCHOBEN?',
    case: 'HAT DIE HILFE DES HERSTELLERS EINE FALLNUMMER GENANNT?',
    caseNumber: 'Fallnummer',
    told: 'DEM KUNDEN SAGEN, was getan wurde, wie das Gerät zurückgelassen wird und was nicht eingeschaltet werden darf.',
    toldName: 'Name, wem es gesagt wurde',
    lapsed: (numbers) =>
      `Was bei ${list(numbers)} gemessen wurde, gilt nicht mehr: seither wurde wieder eingeschaltet. Als unter Spannung behandeln.`,
    another: 'DIES IST EINE ANDERE FRAGE ALS DIE BEANTWORTETE; SIE STELLT SICH NEU.',

    keys: {
      read: 'gelesen und verstanden',
      stop: 'anhalten: wie alles steht, und was nun',
      type: 'eingeben',
      readCard: 'sie steckt hier in einem Leser: lesen',
      cannotReadCard: 'sie ist hier nicht zu lesen',
      noVersion: 'sie ist nicht zu lesen',
      leadGo: 'die Leitung sagt: weiter',
      leadNot: 'die Leitung sagt: nicht beginnen',
      yesAll: 'ja, alles',
      otherwise: 'nein, etwas steht anders',
      done: 'getan',
      cannot: 'es geht nicht',
      noPlate: 'das Typenschild nennt keine',
      goOn: 'weiter',
      begin: 'beginnen und halten',
      held: 'getan: gehalten und rechtzeitig losgelassen',
      holdAgain: 'es misslang, bevor etwas geschah: noch einmal halten',
      good: 'ja, es ist gut',
      bad: 'nein, oder nicht sicher',
      take: 'ja, sie gelten',
      again: 'nein, noch einmal messen',
      unlisted: 'andere Lichter als diese',
      yes: 'ja',
      no: 'nein, oder nicht sicher',
      restored: 'wieder eingestellt',
      notRestored: 'lässt sich nicht wieder einstellen',
      noCase: 'keine Fallnummer',
      nobody: 'niemand war da, dem es zu sagen war',
      backToWalk: 'weitergehen, wo angehalten wurde',
      lookAgain: 'noch einmal ansehen und neu antworten',
      breakOff: 'hier abbrechen; der Besuch bleibt offen und lässt sich fortsetzen',
      endFailed: 'den Besuch hier beenden: failed (fehlgeschlagen)',
      endDeferred: 'den Besuch hier beenden: deferred (aufgeschoben)',
    },

    choices: {
      running: 'in Betrieb',
      off: 'abgeschaltet',
      'locked-off': 'abgeschaltet und gesperrt',
      'no-life': 'ohne Lebenszeichen',
      release: 'das Release: die neue Firmware selbst',
      card: 'die Karte',
      unit: 'das Gerät',
      site: 'der Standort',
      safety: 'die Sicherheit: es war nicht sicher, weiterzumachen',
      'no-access': 'kein Zugang',
      refused: 'der Kunde hat abgelehnt',
      'no-time': 'keine Zeit',
      unsafe: 'unsicher',
      'wrong-hardware': 'falsche Hardware',
      'no-card': 'keine Karte',
      other: 'etwas anderes',
    },

    complaints: {
      backwards: () => 'Diese Zeit liegt vor der letzten Antwort.',
      'card-not-ready': (seen) =>
        `Von dieser Karte ist nicht bekannt, dass sie für dieses Release bereit ist. ${seen} Eine andere nehmen, oder anhalten.`,
      'last-four-form': () => 'Vier Zeichen, die letzten der Seriennummer auf dem Typenschild.',
      'last-four-differs': (seen) =>
        `Ein Gerät, dessen Seriennummer auf ${seen} endet, ist NICHT das Gerät dieses Besuchs. Nichts anfassen. Das richtige suchen, oder noch einmal hinsehen.`,
      'revision-unknown': (seen, expected) =>
        `Eine Revision ${seen} dieses Produkts gibt es nicht. Es gibt: ${expected}.`,
      'revision-again': (seen) =>
        `Revision ${seen} ist nicht die eingetragene oder darf dieses Release nicht haben. Noch einmal auf das Typenschild sehen; sagt es wieder dies, endet der Besuch hier.`,
      'version-form': (seen) =>
        `${seen} ist keine Version dieses Produkts. Eingeben, wie die Anzeige sie zeigt.`,
      'version-before-again': (seen: string) =>
        `Die mitgebrachte Version führt von ${seen} nicht weiter. Noch einmal hinsehen; zeigt die Anzeige wieder dasselbe, endet der Besuch hier.`,
      'version-again': () => 'Das ist nicht die Version, die mitgebracht wurde. Noch einmal hinsehen.',
      'text-form': () => 'Hier muss etwas stehen, in einer Zeile und nicht zu lang.',
      'plate-time-form': () => 'Minuten, etwa 10 oder 7,5.',
      'too-early': (_seen, _expected, time) => `Nicht vor ${time}. Warten.`,
      'time-is-up': (_seen, _expected, time) =>
        `Um ${time} war die Zeit um: was die Lichter jetzt zeigen, kommt zu spät.`,
      'not-yet-late': (_seen, _expected, time) => `Die Zeit ist nicht vor ${time} um.`,
      'pattern-unlisted': (seen) => `${seen} steht nicht auf der Liste dieses Schritts.`,
      'reading-form': () => 'Eine Zahl mit Vorzeichen, etwa 0.4 oder -1,2. Ohne Einheit.',
      'reading-ambiguous': (seen) =>
        `${seen} könnte etwas über eins oder mehr als tausend sein. Mit anderen Stellen eingeben: 1,23 oder 1234.`,
      'meter-bad': () =>
        'Dann zählt kein Messwert. Ein anderes Messgerät nehmen und alles noch einmal messen.',
      'readings-again': () => 'Dann alles noch einmal messen.',
      'state-unknown': (seen, expected) => `${seen} gibt es hier nicht; es gibt: ${expected}.`,
      'cannot-go-on': () => 'Von hier geht es nicht weiter.',
      'outcome-not-open': (seen, expected) => `Es kann nicht mehr ${seen} sein, nur noch: ${expected}.`,
    },

    stop: {
      why: {
        asked: 'Sie haben angehalten.',
        cannot: 'Ein Schritt geht nicht.',
        'starts-otherwise': 'Etwas steht anders, als der Ablauf voraussetzt. Nicht beginnen.',
        'other-unit': 'Das Typenschild ist nicht das des Geräts, an dem dieser Besuch begonnen wurde.',
        'positions-differ':
          'Etwas steht anders, als dieser Besuch es verlassen hat. Was seither geschah, ist nicht bekannt.',
        'not-dead':
          'Die Messung, die Spannungsfreiheit zeigte, zeigt sie jetzt nicht. ALS UNTER SPANNUNG BEHANDELN.',
        'manifest-changed':
          'Der Ablauf im Manifest hat sich seit Beginn dieses Besuchs geändert, darum kann er nicht weitergehen.',
      },
      stands: 'Wie alles steht, soweit dieser Besuch es weiß:',
      seen: 'Wie alles steht, wie Sie es gesehen haben:',
      orElse: (state, step) => `oder ${state}, falls ${step} begonnen wurde`,
      untouched: 'Dieser Besuch hat nichts geschaltet, gesteckt oder geöffnet. Alles lassen, wie es ist.',
      ended:
        'Der Ablauf ist zu Ende. Es bleibt zu sagen, wie das Gerät zurückgelassen wird und wem es gesagt wurde.',
      order:
        'Der Ablauf des Herstellers geht von hier so zu einem Ende. Schritt für Schritt im Besuch gehen, nicht aus dem Gedächtnis:',
      noOrder:
        'Von hier nennt der Hersteller keine Reihenfolge außer der, den Ablauf fortzusetzen. Keine erfinden. Alles lassen, wie es steht.',
      ask: 'Die Hilfe des Herstellers oder eine zugelassene Fachkraft der Firma fragen:',
      askWriting:
        'Schreibt es vielleicht noch? Wie lange müssen Strom und Karte bleiben, wie sie sind, und was beendet das?',
      askPosition: (name, state, ends) =>
        `${name}, jetzt ${state}: darf es so bleiben? Wenn nicht, wer darf es wieder auf ${ends} bringen, und in welcher Reihenfolge mit dem Rest?`,
      askStays: 'Darf es genau so bleiben, wie es steht, und wie lange?',
      whenDone: 'dann',
      ways: {
        passes: 'alles so:',
        'does-not-pass': 'wenn nicht:',
        'release-version': 'die mitgebrachte Version:',
        'other-version': 'eine andere Version:',
        unreadable: 'nicht zu lesen:',
        'no-tries-left': 'wenn die Versuche aufgebraucht sind:',
        late: 'die Zeit ist um:',
        unlisted: 'andere Lichter:',
        lights: 'diese Lichter:',
        done: 'getan:',
      },
      measured: 'alle Messwerte innerhalb:',
      notMeasured: 'ein Messwert außerhalb:',
      endsAs: (outcome, left) => `ENDE: ${outcome}. Dann steht alles so: ${left}.`,
      resume: 'Der Besuch bleibt offen. Fortsetzen mit:',
    },

    over: {
      updated: 'Aktualisiert.',
      failed: 'Fehlgeschlagen.',
      deferred: 'Aufgeschoben.',
      'already-current': 'Es hat diese Version schon; nichts wurde installiert.',
      notRestored: (settings) => `Nicht wieder eingestellt: ${list(settings)}.`,
    },
  },

  pocket: {
    steps: {
      identify:
        'IST DIES DAS GERÄT? Sein Typenschild lesen: die letzten vier Zeichen der Seriennummer und die Hardware-Revision. Nach dem Typenschild gehen, nicht nach dieser Seite.',
      identifyMatch: (revisions) =>
        `Sie müssen die des Geräts sein, und die Revision eine von: ${revisions.join(', ')}.`,
      versionBefore: 'DIE VERSION VORHER NOTIEREN, wie das Gerät sie zeigt, Zeichen für Zeichen.',
      versionSame:
        'Ist es schon die Version dieses Blatts: nicht installieren. „already-current“ (schon aktuell) angeben.',
      readSame: 'Die Version dieses Blatts:',
      readVersion: (where) =>
        `DIE VERSION ABLESEN${where === null ? '' : ` (${where})`} und eingeben, Zeichen für Zeichen, bevor verglichen wird.`,
      condition:
        'WIE WIRD DAS GERÄT ZURÜCKGELASSEN? In Betrieb, abgeschaltet, abgeschaltet und gesperrt oder ohne Lebenszeichen.',
    },
    noScript:
      'Hier läuft keine Zeit und entsteht kein Ergebnis, weil diese Seite dort, wo sie geöffnet wurde, keine Skripte ausführt. Die Datei im Browser des Telefons öffnen. Alles zum Lesen steht unten.',
    offline: 'Diese Seite braucht kein Netz und sendet von selbst nichts.',
    controls: 'Bildschirm und Ton',
    dark: 'Dunkel',
    sun: 'Helle Sonne',
    size: (percent) => `Text ${percent}${glue}%`,
    sound: (on) => (on ? 'Ton an' : 'Ton aus'),
    running: 'Laufende Zeit',
    placesName: 'Teile dieser Seite',
    places: {
      walk: 'Gang',
      list: 'Liste',
      lights: 'Lichter',
      trouble: 'Hilfe',
      result: 'Ergebnis',
    },
    unit: (row, serial) => `Zeile ${row}: ${serial}`,
    timeNow: (step, left) => `${step}: noch ${left}`,
    timeOver: (step) => `${step}: die Zeit ist um`,
    noStore:
      'Dieses Telefon lässt die Seite nichts behalten: wird sie geschlossen oder neu geladen, ist alles Eingegebene verloren. Offen lassen.',
    keepOpen:
      'Diese Seite offen und den Bildschirm an lassen: bei dunklem Bildschirm tönt eine Zeit vielleicht nicht, auch wenn sie weiterläuft.',

    cautions: {
      read: (count, of) => `${count} von ${of} gelesen`,
      tickEach: 'Jede abhaken, wenn sie laut gelesen ist.',
      acknowledge: 'Alle gelesen und verstanden',
      missing: (count) =>
        count === 1 ? 'Eine ist noch nicht abgehakt.' : `${count} sind noch nicht abgehakt.`,
      emergency: 'Notruf, Nummer hier',
      secondPerson: 'Zweite Person, Name und Nummer',
      emergencyIs: 'Notruf:',
      secondPersonIs: (who) => `Zweite Person: ${who}`,
    },

    begin: {
      title: 'WELCHES GERÄT?',
      order:
        'Ein Gerät nach dem anderen, in der Reihenfolge der Zeilen. Eines beenden, Ergebnis erstellt, bevor das nächste begonnen wird.',
      serial: 'Seriennummer des Geräts, von seinem Typenschild',
      serialForm: 'Eine Seriennummer aus 4 bis 40 Buchstaben und Ziffern.',
      serialCheck:
        'Die Prüfzeichen dieser Seriennummer stimmen nicht: ein Zeichen ist falsch. Das Typenschild noch einmal lesen.',
      take: 'Dieses Gerät nehmen',
      ready: 'BEVOR SIE BEGINNEN',
      overBy: (longest) =>
        `Jetzt begonnen, ist es spätestens um ${longest} zu Ende, auf dem längsten Weg durch den Ablauf.`,
      ifWell: (shortest) => `Wenn alles gut geht, etwa um ${shortest}.`,
      siteFirst:
        'Das erste Gerät hier heute: was davor einmal für den Standort getan wird, gehört zu diesem Gang.',
      siteOpened: (serial) => `Was einmal für den Standort getan wird, wurde bei ${serial} getan.`,
      siteLast:
        'Das letzte Gerät hier heute: was danach einmal für den Standort getan wird, gehört zu diesem Gang.',
      siteMore: 'Heute folgt hier noch ein Gerät: was danach einmal getan wird, kommt mit jenem.',
      toMore: 'Nein: es folgt noch eines',
      toLast: 'Nein: dies ist das letzte',
      begin: 'Den Gang beginnen',
      other: 'Anderes Gerät',
      done: (outcome) => `Ergebnis erstellt: ${outcome}`,
      under: 'Gang läuft',
    },

    card: 'WELCHE KARTE IST IN IHRER HAND? Es muss die sein, die für dieses Release vorbereitet wurde und die der Laptop als bereit gezeigt hat. Ein Telefon kann sie nicht lesen.',
    cardReady: 'Als bereit gezeigt, seither nicht benutzt',
    cardNot: 'Nicht so, oder nicht sicher',
    cardWhy: 'Niemand sagt, dass der Laptop sie als bereit gezeigt hat.',
    typed: 'Nehmen, was ich eingab',
    minus: 'Plus oder minus',
    confirmChoice: 'Das sehe ich',
    choose: 'Zuerst eines wählen.',
    takeBack: 'Die letzte Antwort zurücknehmen',
    sure: (what) => `Wirklich: ${what}`,
    next: 'Nächstes Gerät',
    here: 'SIE SIND HIER',
    doneAt: (time) => `getan ${time}`,
    seenWhat: 'Was sehen Sie?',
    means: 'Es heißt:',
    stop: 'HALT: etwas stimmt nicht',
    ring: (phone) => `${phone} anrufen`,
    seenLast: (what, time) => `Um ${time} gesehen: ${what} Weiter beobachten.`,
    over: 'Die Zeit ist um.',
    overGo: 'Die Zeit ist um: weiter',
    notOver: 'Noch nicht: warten',
    waitGo: 'Die Zeit ist um: weiter',

    hold: {
      start: 'Mit mir zählen',
      again: 'Noch einmal zählen',
      ready: 'Den Finger auf den Knopf legen. Bei null drücken.',
      press: 'DRÜCKEN UND HALTEN',
      letGo: 'JETZT LOSLASSEN',
      tooLong: 'ZU LANG: loslassen',
      seconds: (seconds) => `${seconds}${glue}s`,
    },
    count: {
      start: 'Zehn Sekunden lang Blinken zählen',
      now: 'Jetzt zählen, laut',
      over: 'Halt. Wie oft war es?',
    },

    lights: {
      play: 'Abspielen',
      stop: 'Anhalten',
      slowed: (times) =>
        `${times.toFixed(1).replace('.', ',')}-mal langsamer gezeigt als am Gerät: auf dieser Seite blinkt nichts öfter als dreimal in der Sekunde. Nach der Zahl gehen.`,
      still:
        'Dieses Telefon wünscht wenig Bewegung, darum stehen die Lichter still. Die Streifen zeigen dasselbe.',
    },

    reload: {
      title: 'DIESE SEITE WURDE GESCHLOSSEN ODER NEU GELADEN',
      text: (from, to) => `Zuletzt zählte sie um ${from}; jetzt ist es ${to}. Laufende Zeiten liefen weiter.`,
      stayed: 'Ich war die ganze Zeit am Gerät, und niemand hat etwas angefasst',
      anew: 'Nicht so, oder nicht sicher: alles neu bestätigen',
      mustAnew:
        'Das ist zu lange her: Gerät, Stellungen und Spannungsfreiheit werden neu bestätigt, bevor es weitergeht.',
      damaged:
        'Was dieses Telefon vom Gang behalten hat, ist nicht zu lesen. Den Gang von seinem ersten Schritt an neu beginnen.',
    },
    brokenOff:
      'Der Gang ist abgebrochen. Bevor er weitergeht, werden Gerät, Stellungen und Spannungsfreiheit neu bestätigt.',
    resume: 'Mit diesem Gang weitermachen',

    result: {
      title: 'ERGEBNIS',
      intro: 'Angeben, was zu sehen ist, nicht, was erwartet wird.',
      unitFirst: 'Zuerst unter „Gang“ das Gerät wählen.',
      ended: 'Der Gang ist zu Ende. Das Ergebnis durchsehen und erstellen.',
      toResult: 'Zum Ergebnis',
      none: 'nicht gesagt',
      confirmed: 'Ich habe noch einmal hingesehen: die Anzeige zeigt wirklich genau dies',
      make: 'Ergebnis erstellen',
      made: (time) => `Erstellt um ${time}`,
      anew: 'Ändern und neu erstellen',
      file: 'Als Datei speichern',
      share: 'Die Datei senden',
      copy: 'Den Text des QR-Codes kopieren',
      copied: 'Kopiert.',
      notCopied: 'Es ließ sich nicht kopieren. Stattdessen die Datei speichern.',
      code: 'CODE FÜR DAS TELEFON',
      codeHow:
        'Die Blattnummer sagen, dann diesen Code, Zeichen für Zeichen. Wer und wann wird danach gefragt.',
      codeNone:
        'Für diese Seriennummer oder Version gibt es keinen kurzen Code. Stattdessen die Datei oder den QR-Code geben.',
      spelled: 'Zum Vorsagen:',
      qr: 'QR-CODE',
      qrHow: 'Zum Lesen für den Laptop oder ein anderes Telefon.',
      qrNone:
        'Die Notiz ist zu lang für einen QR-Code auf diesem Bildschirm. Die Datei geben, oder die Notiz kürzen.',
      qrAlt: 'QR-Code mit diesem Ergebnis',
      whatItSays: 'Er sagt, was oben steht, wer und wann. Ein Beweis ist er für sich nicht.',
      forget: 'Alles auf diesem Telefon vergessen',
      forgetWhat: 'Gänge, Ergebnisse und alles hier Eingegebene vergessen',
      faults: 'Dies ist noch nicht vollständig:',
      fault: {
        'outcome-missing': 'Was ist daraus geworden?',
        'by-missing': 'Wer hat die Arbeit getan?',
        'time-form': 'Tag und Uhrzeit.',
        'version-form': 'Das ist keine Version dieses Produkts. Was keine Version ist, kommt in die Notiz.',
        'version-missing': 'Nur eine am Gerät abgelesene Version zeigt, dass es schon aktuell ist.',
        'display-not-confirmed':
          'Das ist nicht die Version, die mitgebracht wurde. Noch einmal hinsehen: abhaken, dass wirklich dies dasteht, oder berichtigen.',
        'left-missing': 'Wie wird das Gerät zurückgelassen?',
        'reason-missing': 'Warum ist es aufgeschoben?',
        'too-long': 'Zu lang. Bitte kürzen.',
      },
    },
    spelling: internationalSpelling,
  },
};
