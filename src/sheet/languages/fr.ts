// Everything a sheet says, in French. No text here gives an order of switching off or on: that is the manifest's
// alone. What a person writes down for the record is said in French with the word that the record knows beside it.
// Blanks before high punctuation and within quotation marks are made unbreakable as the texts are handed out.

import type { Hazard } from '../../manifest/schema.ts';
import type { AlwaysCaution, CautionText } from '../cautions.ts';
import type { SheetLanguage } from '../language.ts';
import { glue, internationalSpelling, listWith, spanOfTime, withComma } from '../language-parts.ts';

const always: Record<AlwaysCaution, CautionText> = {
  codes: {
    title: 'La réglementation locale et le manuel du fabricant priment sur cette fiche.',
    text: "S'ils demandent plus, ou autre chose, c'est eux qu'il faut suivre. S'ils se contredisent, arrêter et demander.",
  },
  licensed: {
    title: 'Personnes habilitées seulement, et jamais seules.',
    text: 'Ne faire que ce que votre habilitation et la réglementation locale permettent. Une deuxième personne reste à portée de voix et sait qui appeler.',
  },
  'not-dead': {
    title: "Un voyant éteint ne prouve pas l'absence de tension.",
    text: "Vérifier l'appareil de mesure sur une source connue, mesurer, vérifier l'appareil de mesure à nouveau. Jusque-là, considérer le tout comme sous tension.",
  },
  discharge: {
    title: 'Attendre le plus long des temps de décharge.',
    text: "Si la plaque de l'appareil en donne un et cette fiche un autre, le plus long des deux compte. Ensuite, mesurer.",
  },
  'stays-live': {
    title: "Certaines parties restent sous tension, quoi que l'on coupe.",
    text: "Les bornes d'une batterie ne se coupent pas. Le PV est sous tension dès qu'il y a de la lumière. Les onduleurs peuvent renvoyer du courant et redémarrer d'eux-mêmes. Une sortie de secours peut être sous tension.",
  },
  locks: {
    title: 'Cadenas et étiquettes.',
    text: "Chaque personne pose son propre cadenas et son étiquette, comme la réglementation locale le demande, et n'enlève ceux de personne d'autre.",
  },
  leave: {
    title: 'Fumée, odeur, sifflement, gonflement ou chaleur : partir.',
    text: 'Faire sortir les gens, tenir les autres à distance, appeler les secours. Les personnes passent avant le micrologiciel.',
  },
  writing: {
    title: "Ne pas couper le courant ni retirer la carte pendant que l'appareil écrit,",
    text: "sauf si le fabricant le dit. Si l'on ne peut pas savoir s'il écrit, considérer qu'il écrit.",
  },
  'switch-on': {
    title: 'Avant de remettre en marche :',
    text: 'capots en place, personnes à distance, propres cadenas retirés, client prévenu.',
  },
};

const hazards: Record<Hazard, CautionText> = {
  'battery-dc': {
    title: 'Batterie, courant continu.',
    text: 'Une batterie garde toute sa tension, quelle que soit la position des interrupteurs. Un court-circuit brûle, aveugle et projette du métal chaud. Ni bagues, ni montres, ni outils non tenus ; outils isolés, vêtements et distances selon le manuel du fabricant et la réglementation locale.',
  },
  'mains-ac': {
    title: 'Réseau.',
    text: "La tension du réseau tue. Il peut y avoir plus d'une alimentation, et un interrupteur de l'appareil peut ne pas les couper toutes. Où l'on isole est écrit dans le manuel du fabricant et sur les plans du site ; isoler est réservé aux personnes habilitées.",
  },
  'pv-dc': {
    title: 'PV, courant continu.',
    text: "Les conducteurs PV sont sous tension dès que la lumière atteint les panneaux. Un arc en courant continu ne s'éteint pas de lui-même. Ne jamais séparer un connecteur PV en charge. N'isoler que comme le disent le manuel du fabricant et la réglementation locale.",
  },
  'stored-charge': {
    title: 'Charge accumulée.',
    text: 'Les condensateurs gardent une tension dangereuse après la coupure, et elle peut revenir. Attendre le plus long des temps de la plaque et de la fiche, puis mesurer comme le veut la pratique des personnes habilitées.',
  },
  'automatic-restart': {
    title: 'Démarre de lui-même.',
    text: "L'appareil peut démarrer sans prévenir : par une minuterie, un signal, le retour de l'alimentation ou du soleil, ou une fois le nouveau micrologiciel en place. Tenir personnes et mains à distance. Ce qui l'empêche de démarrer est écrit dans le manuel du fabricant.",
  },
  backfeed: {
    title: 'Retour de tension.',
    text: "Réseau coupé, une tension peut encore venir d'un onduleur, d'une batterie, d'un groupe ou d'un autre circuit. Considérer les deux côtés d'un interrupteur ouvert comme sous tension jusqu'à la mesure. Toutes les sources sont nommées sur les plans du site et dans le manuel du fabricant.",
  },
  'backup-output-live': {
    title: 'Sortie de secours.',
    text: "La sortie de secours peut être sous tension réseau coupé, et s'enclencher à tout moment. Demander au client ce qui y est raccordé, et considérer ces circuits comme sous tension jusqu'à la mesure, comme la réglementation locale le demande.",
  },
  'vehicle-connected': {
    title: 'Véhicule raccordé.',
    text: "Un véhicule apporte sa propre batterie, peut renvoyer du courant et garder la prise verrouillée. Ne jamais forcer une prise. Si un véhicule peut être raccordé pendant ce travail, c'est écrit dans le manuel du fabricant ; demander à qui le conduit, ne pas deviner.",
  },
  'moving-parts': {
    title: 'Pièces en mouvement.',
    text: 'Arbres, courroies, ventilateurs et vannes peuvent bouger sans prévenir et tourner encore après la coupure. Mains, cheveux et manches à distance, protections en place. Ce qui doit être verrouillé ou calé est écrit dans le manuel du fabricant et la réglementation locale.',
  },
  'hot-surfaces': {
    title: 'Surfaces chaudes.',
    text: 'Radiateurs, moteurs et tuyaux brûlent la peau longtemps après la coupure. Laisser refroidir, ou porter ce que le manuel du fabricant demande.',
  },
  pressure: {
    title: 'Pression.',
    text: "Tuyaux et réservoirs peuvent rester sous pression, tout à l'arrêt. N'ouvrir aucun raccord pour ce travail. On ne relâche la pression que comme le dit le manuel du fabricant, et par ceux à qui la réglementation locale le permet.",
  },
  refrigerant: {
    title: 'Fluide frigorigène.',
    text: "Une fuite peut chasser l'air, geler la peau ou prendre feu. Ce travail n'ouvre pas le circuit. En cas de fuite, quitter le local ; le reste revient aux personnes habilitées aux fluides frigorigènes selon la réglementation locale.",
  },
  heavy: {
    title: 'Pièces lourdes.',
    text: "Portes, capots et modules peuvent être plus lourds qu'ils n'en ont l'air et tomber quand on les détache. Deux personnes ou un engin de levage, comme le demandent le manuel du fabricant et la réglementation locale.",
  },
  'work-alone': {
    title: 'Ne pas travailler seul ici.',
    text: "Une deuxième personne reste tout le temps à portée de vue et de voix et peut appeler de l'aide. Convenir avant de commencer quand appeler et par où l'aide arrive, comme la réglementation locale le demande.",
  },
};

function plural(count: number, one: string, many: string): string {
  return `${count}${glue}${count < 2 ? one : many}`;
}

/** `90 s`, `7 min`, `1 h 20 min`, `0,4 s`. */
function duration(seconds: number): string {
  return spanOfTime(seconds, withComma);
}

/** `a`, `a et b`, `a, b et c`. */
function list(items: readonly string[], last: 'and' | 'or' = 'and'): string {
  return listWith(items, last === 'and' ? 'et' : 'ou');
}

/** The blanks that French puts before `: ; ? ! »` and after `«` are no places to break a line at. */
function unbreakable(text: string): string {
  return text.replace(/ (?=[:;?!\u00bb])/g, glue).replace(/\u00ab /g, `«${glue}`);
}

function typeset<T>(words: T): T {
  if (typeof words === 'string') return unbreakable(words) as T;
  if (typeof words === 'function') {
    const speak = words as unknown as (...given: unknown[]) => unknown;
    return ((...given: unknown[]) => {
      const said = speak(...given);
      return typeof said === 'string' ? unbreakable(said) : said;
    }) as T;
  }
  if (Array.isArray(words)) return words.map((word) => typeset(word)) as T;
  if (typeof words !== 'object' || words === null) return words;
  return Object.fromEntries(Object.entries(words).map(([name, word]) => [name, typeset(word)])) as T;
}

export const fr: SheetLanguage = typeset<SheetLanguage>({
  code: 'fr',
  name: 'français',
  always,
  hazards,
  duration,
  list,

  head: {
    sheet: 'FICHE',
    work: (version) => `Nouveau micrologiciel ${version} par carte mémoire`,
    maker: (maker) => `fabricant ${maker}`,
    made: (day, time) => `établie ${day} ${time}`,
    by: (name) => `par ${name}`,
    oneUnit: 'Pour un appareil ; son numéro de série est à écrire à la main.',
    units: (count) => `Pour ${plural(count, 'appareil', 'appareils')}.`,
    foot: (number, page, pages) => `Fiche ${number}   page ${page} sur ${pages}`,
    continued: 'suite',
  },

  sections: {
    cautions: 'PRÉCAUTIONS',
    source: "D'OÙ CELA VIENT, ET DE QUAND",
    time: 'TEMPS',
    bring: 'À EMPORTER',
    units: 'APPAREILS',
    rules: 'OÙ EN EST CHAQUE CHOSE, ET CE QUI NE DOIT JAMAIS ÊTRE',
    before: 'AVANT DE TOUCHER À QUOI QUE CE SOIT',
    procedure: 'LA PROCÉDURE DU FABRICANT',
    after: 'ENSUITE',
    lights: 'CE QUE DISENT LES VOYANTS',
    failure: "EN CAS D'ÉCHEC, OU SI QUELQUE CHOSE N'EST PAS COMME LE DIT LA FICHE",
    results: 'RÉSULTATS : REMPLIR SUR PLACE, PUIS PHOTOGRAPHIER',
  },

  cautions: {
    readAloud:
      "À lire à haute voix avant de commencer. Cela rappelle, cela n'enseigne pas : comment faire en sécurité est écrit dans la réglementation locale, le manuel du fabricant et la pratique des personnes habilitées. Les étapes et les significations sont telles que le manifeste les écrit.",
    here: 'Cet appareil :',
    maker: 'Du manifeste de ce produit :',
    emergency: 'Secours, numéro ici :',
    secondPerson: 'Deuxième personne :',
  },

  source: {
    document: 'Document',
    issue: (issue) => `édition ${issue}`,
    page: (page) => `page ${page}`,
    manifest: 'Manifeste',
    revision: (id, revision) =>
      revision === null ? `${id}, révision non indiquée` : `${id}, révision ${revision}`,
    writtenBy: 'Écrit par',
    checkedBy: 'Vérifié par',
    notNamed: 'non nommé',
    warning: 'AVERTISSEMENT :',
    warnings: {
      'no-source':
        "Aucun document du fabricant n'est nommé comme source de cette procédure. La comparer au manuel du fabricant.",
      'no-writer': "Personne n'est nommé qui ait écrit cette procédure.",
      'not-checked': "Personne n'est nommé qui ait comparé cette procédure au document du fabricant.",
      'same-checker':
        "La même personne a écrit et vérifié cette procédure. Personne d'autre ne l'a comparée.",
      'dead-test-missing':
        'Cet appareil peut rester sous tension tout coupé, et aucune étape de cette procédure ne la mesure. Demander au chef de service si le document du fabricant le fait.',
      'discharge-wait-missing':
        "Cet appareil accumule une charge, et aucune étape de cette procédure n'attend qu'elle disparaisse. Suivre la plaque de l'appareil, et demander au chef de service.",
    },
    gaps: 'Procédure',
    gapsChecked: "vérifiée quant aux lacunes ; ce n'est pas une approbation de sécurité",
    gapsNotChecked: 'NON vérifiée quant aux lacunes',
    release: 'Version livrée',
    issued: (day) => `publiée le ${day}`,
    priority: { safety: 'pour la sécurité', required: 'obligatoire', recommended: 'recommandée' },
    due: (day) => `à faire jusqu'au ${day}`,
    notes: 'Remarques',
    withdrawn: 'Retirée ?',
    notWithdrawn: (id) => `${id} n'est pas retirée, pour autant que cet ordinateur le sache.`,
    newsAsOf: (day, days) =>
      `Les derniers manifestes sont arrivés sur cet ordinateur le ${day}, ${days === 0 ? 'le jour où ceci a été établi' : `${plural(days, 'jour', 'jours')} avant que ceci soit établi`}.`,
    newsUnknown: 'Quand les derniers manifestes sont arrivés sur cet ordinateur est inconnu.',
    newsOld:
      'Ces nouvelles sont vieilles de plus de sept jours, ou inconnues. Demander au chef de service avant de partir si cette version tient toujours.',
    record: 'Registre',
    noRecord: "il n'y en a pas encore sur cet ordinateur",
    mark: (mark) => `marque ${mark} (dernière entrée de l'ordinateur qui a établi ceci)`,
  },

  time: {
    longest: (longest) => `Un appareil prend au plus ${longest}, par le chemin le plus long de la procédure.`,
    shortest: (shortest) => `Si tout va bien, cela prend environ ${shortest}.`,
    unknown: "Le chemin le plus long de la procédure n'est pas connu. Planifier avec le chef de service.",
    assumedIntro: 'Admis là où le manifeste ne donne pas de temps :',
    assumed: {
      do: '2 minutes pour une étape sans temps',
      measure:
        "1 minute pour une mesure, une demie pour chaque valeur, 1 minute pour vérifier l'appareil de mesure",
      watch: 'tout le temps permis pour chaque observation des voyants, au plus long',
      read: '1 minute pour lire la version',
      confirm: '1 minute pour chaque signe de service',
    },
    plate: (numbers) =>
      `Si le temps de la plaque à l'étape ${list(numbers.map(String), 'or')} est plus long que celui de la fiche, ajouter la différence.`,
    latestAny: (time, ends) => `La journée finit à ${ends}. NE COMMENCER AUCUN APPAREIL APRÈS ${time}.`,
    latestFirst: (time, count) =>
      `Pour faire les ${count}, l'un après l'autre : COMMENCER LE PREMIER AVANT ${time}.`,
    counted: (count) =>
      count === 1
        ? 'Compté à rebours de la fin de la journée : une heure de réserve, puis une fois le chemin le plus long.'
        : "Compté à rebours de la fin de la journée : une heure de réserve, puis le chemin le plus long, une fois par appareil encore à faire. Aller d'un appareil à l'autre et écrire sont pris sur la réserve.",
    shared: 'Ce qui est fait une fois pour le site est compté une fois.',
    doesNotFit: (ends) =>
      `Une journée qui finit à ${ends} n'a pas le temps pour cela. NE PAS COMMENCER ALORS.`,
    notAllFit: (count, ends, fit) =>
      `Les ${count} ne tiennent pas tous dans une journée qui finit à ${ends} : ${fit} au plus, à partir de minuit.`,
    byHand: (total) =>
      `Fin de la journée à${glue}____:____ moins ${total} : ne commencer aucun appareil après${glue}____:____`,
    byHandNote: "C'est une fois le chemin le plus long et une heure de réserve.",
    late: "Plus tard, ne pas commencer : laisser l'appareil tel quel et écrire « deferred » (reporté), no-time (pas le temps).",
  },

  bring: {
    sheet: 'Cette fiche, toutes les pages, et un stylo.',
    manual: (document) => `Le manuel du fabricant : ${document}.`,
    makersManual: 'Le manuel du fabricant de ce produit.',
    oneCard: (id) =>
      `1 carte mémoire, préparée pour ${id} et montrée prête. L'appareil la laisse inchangée ; elle sert à tous les appareils de ce type, l'un après l'autre.`,
    cardEach: (count, id) =>
      `${plural(count, 'carte mémoire', 'cartes mémoire')}${count === 1 ? '' : ', une par appareil, chacune'} préparée pour ${id} et montrée prête. L'appareil modifie la carte ; une carte utilisée doit être préparée à nouveau.`,
    meter: 'Un voltmètre prévu pour ce travail, et une source connue pour le vérifier.',
    locks: 'Cadenas et étiquette personnels, un jeu par personne.',
    phone: (helpline) => `Un téléphone qui passe sur place, et le numéro de l'assistance : ${helpline}.`,
    phoneOnly: 'Un téléphone qui passe sur place, et le numéro du chef de service.',
  },

  units: {
    row: 'Ligne',
    serial: 'Numéro de série',
    site: 'Site',
    revision: 'Rév.',
    last: 'Dernier état connu',
    notKnown: 'inconnu',
    read: (version, day) => `${version}, lue le ${day}`,
    reported: (version, day) => `${version}, seulement signalée le ${day}`,
    failed: (day) => `mise à jour échouée le ${day}`,
    unread: (version, day) => `mise à jour vers ${version} le ${day}, non lue depuis : la lire d'abord`,
    left: {
      running: 'laissé en marche',
      off: 'laissé arrêté',
      'locked-off': 'laissé arrêté et cadenassé',
      'no-life': 'laissé sans signe de vie',
    },
    details: {
      role: 'Rôle',
      address: 'Adresse',
      contact: 'Contact',
      access: 'Accès',
      notes: 'Remarques',
    },
    order:
      "Un appareil après l'autre, dans l'ordre des lignes. En finir un, résultats écrits, avant de commencer le suivant. Chaque étape a une case pour chaque ligne.",
    byRole:
      "Les lignes suivent l'ordre des rôles des appareils, tel que le manifeste le donne d'après le document du fabricant. N'en commencer aucun tant qu'un appareil placé avant reste à faire.",
    revisionNotKnown: 'révision inconnue : se fier à la plaque',
  },

  rules: {
    starts: 'La procédure part de là ; si quelque chose est autrement, ne pas commencer et demander :',
    later: (placed) => `à chaque appareil après le premier : ${placed}`,
    never: 'Jamais en même temps :',
    whileBusy: "Tant que l'appareil peut être en train d'écrire, ceci doit rester tel quel :",
  },

  placed: (position, state) => `${position} ${state}`,
  placedTogether: (placings) => list(placings, 'and'),

  steps: {
    step: (number) => `Étape${glue}${number}`,
    onlyFrom: (numbers) => `Seulement si une autre étape envoie ici (${list(numbers.map(String), 'or')}).`,
    onlyFromNowhere: 'Aucune étape ne mène ici.',
    goTo: (number) => `ALLER À L'ÉTAPE${glue}${number}`,
    goOn: (number) => `continuer à l'étape${glue}${number}`,
    stay: 'CONTINUER À OBSERVER',
    takes: (time) => `(environ${glue}${time})`,
    why: 'Pourquoi :',
    needs: "D'abord voir que :",
    sets: 'Maintenant :',
    once: {
      first:
        "UNE FOIS POUR LE SITE : seulement avec le premier appareil fait ici dans la journée. À chaque autre, continuer à l'étape suivante.",
      last: "UNE FOIS POUR LE SITE : seulement avec le dernier appareil fait ici dans la journée, ou avant de partir si aucun autre ne peut être commencé. À chaque autre, continuer à l'étape suivante.",
    },
    endsSite:
      "Le travail sur ce site s'arrête ici : ne commencer aucun autre appareil avant que l'assistance ou le chef de service le dise.",
    done: 'fait :',
    rowMark: (row, lastFour) => (lastFour === null ? `Ligne ${row}` : `Ligne ${row} (..${lastFour})`),

    identify:
      "EST-CE L'APPAREIL ? Lire sa plaque. Écrire les quatre derniers caractères du numéro de série et la révision du matériel dans sa ligne des résultats, d'après la plaque, pas d'après cette fiche.",
    identifyMatch: (revisions) =>
      `Ils doivent être ceux de la ligne, et la révision l'une de : ${revisions.join(', ')}.`,
    identifyOtherwise:
      "S'ils ne le sont pas : ce n'est pas l'appareil. Arrêter. Rien n'a été touché ; écrire « deferred » (reporté), wrong-hardware (autre matériel).",
    versionBefore:
      "NOTER LA VERSION D'AVANT, telle que l'appareil la montre, caractère par caractère, dans sa ligne des résultats.",
    fromAny: 'Cette version peut suivre toute version sauf elle-même.',
    fromRange: (atLeast, below) => {
      const low = atLeast === null ? '' : `${atLeast} ou plus récente`;
      const high = below === null ? '' : `une version antérieure à ${below}`;
      return `Cette version peut suivre ${[low, high].filter(Boolean).join(', mais seulement ')}.`;
    },
    fromList: (versions) => `Cette version peut suivre ${list(versions, 'or')}, et rien d'autre.`,
    versionSame:
      "Si c'est déjà la version en tête de la page 1 : ne pas installer. Écrire « already-current » (déjà à jour).",
    versionOther:
      "Si c'est une autre version : ne pas installer. Écrire « deferred » (reporté) et demander au chef de service.",
    versionUnreadable:
      "Si elle ne peut pas être lue : ne pas commencer avant que le chef de service le dise ; écrire ce que l'on a vu.",
    settings: 'NOTER CES RÉGLAGES avant de commencer ; le nouveau micrologiciel les remet à zéro.',
    settingBefore: 'avant',
    settingRestored: 'rétabli',
    restore: 'RÉTABLIR LES RÉGLAGES notés, chacun.',
    restoreSee: (number) => `Ils sont à l'étape${glue}${number}.`,
    service: 'DE NOUVEAU EN SERVICE ? Voir encore, maintenant que tout est fait :',
    serviceOtherwise:
      "Si l'un d'eux n'est pas ainsi, ce n'est pas « updated » : arrêter, et appeler l'assistance ou le chef de service.",
    condition:
      "COMMENT L'APPAREIL EST-IL LAISSÉ ? L'écrire dans les résultats : running (en marche), off (arrêté), locked-off (arrêté et cadenassé) ou no-life (sans signe de vie).",
    conditionPositions: 'Écrire ici où en est chaque chose :',
    told: "DIRE AU CLIENT ce qui a été fait, comment l'appareil est laissé et ce qui ne doit pas être remis en marche. Écrire le nom de la personne prévenue.",
    tell: 'Puis le faire savoir au registre : résultat, version lue, état laissé, par qui et quand, ligne par ligne.',

    wait: (time) => `ATTENDRE ${time}.`,
    waitPlate: (time) => `ATTENDRE le plus long de ${time} et du temps de décharge marqué sur la plaque.`,
    plateTime: `la${glue}plaque${glue}dit${glue}________ ${glue} début${glue}____:____ ${glue} fini${glue}à${glue}____:____`,
    waitTime: `début${glue}____:____ ${glue} fini${glue}à${glue}____:____`,
    hold: (what, min, max) =>
      `TENIR ${what} pendant ${min === max ? duration(min) : `${duration(min)} à ${duration(max)}`}, en comptant à haute voix.`,
    measure: (what) => `MESURER : ${what}.`,
    limits: (from, to, unit) =>
      `Chaque valeur doit être entre ${withComma(from)} et ${withComma(to)} ${unit}, signe compris.`,
    meterBefore: 'appareil de mesure vérifié bon sur une source connue avant',
    meterAfter: 'appareil de mesure vérifié bon sur une source connue après',
    meterBad:
      "Si l'appareil de mesure n'est pas vérifié bon les deux fois, ses valeurs ne comptent pas : en prendre un autre et mesurer à nouveau.",
    reading: 'valeur',
    allWithin: 'Toutes dans les limites :',
    anyOutside: 'Une hors limites :',
    watch: (within) =>
      `OBSERVER LES VOYANTS. Au plus ${within} chaque fois qu'une étape mène ici ; regarder encore ne fait jamais repartir le temps.`,
    watchHands: 'Pendant ce temps, ne pas couper le courant et ne pas retirer la carte.',
    watchTime: `début${glue}____:____ ${glue} temps${glue}écoulé${glue}à${glue}____:____`,
    youSee: 'On voit',
    itMeans: 'Cela signifie',
    doThis: 'À faire',
    timeUp: 'Le temps est écoulé et on observe encore',
    timeUpMeans: 'Trop tard',
    otherLights: 'Des voyants qui ne sont pas sur cette liste',
    otherLightsMeans: 'Inconnu',
    mayWrite: 'écrit peut-être',
    readVersion: (where) =>
      `LIRE LA VERSION${where === null ? '' : ` (${where})`} et l'écrire dans les résultats, caractère par caractère, avant de comparer.`,
    readSame: 'La version en tête de la page 1 :',
    readOther: 'Une autre version :',
    readUnreadable: 'Illisible :',
    confirm: 'DE NOUVEAU EN SERVICE ? Voir chacun de ces points et le cocher :',
    confirmNoList: "Voir que l'appareil est de nouveau en service comme le dit le manuel du fabricant.",
    confirmAll: 'Tout est ainsi :',
    confirmOtherwise: "Un point ne l'est pas :",
    tries: (tries, otherwise) =>
      `Au plus ${tries === 1 ? 'une fois' : `${tries} fois`} par appareil. Si c'est épuisé, ne pas le faire : ALLER À L'ÉTAPE${glue}${otherwise}.`,
    tickTries: 'cocher chaque fois :',
    end: {
      updated: 'FIN : MIS À JOUR (UPDATED).',
      failed: 'FIN : ÉCHEC (FAILED).',
      deferred: 'FIN : REPORTÉ (DEFERRED).',
    },
    endStands: 'Tout doit maintenant être ainsi :',
    endLeft: 'laissé ainsi',
    endWrite: {
      updated: 'Écrire « updated » dans les résultats.',
      failed: 'Écrire « failed » dans les résultats.',
      deferred: 'Écrire « deferred » dans les résultats.',
    },
  },

  lights: {
    intro:
      '# est allumé, . est éteint ; chaque bande dure le temps écrit à côté. Compter les clignotements pendant dix secondes, ne pas deviner.',
    introDrawn:
      'Un bloc est allumé, un trait nu est éteint ; chaque bande dure le temps écrit à côté. Compter les clignotements pendant dix secondes, ne pas deviner.',
    drawnAt: (numbers) => `Ce qu'ils montrent à l'étape ${list(numbers.map(String))} y est dessiné.`,
    on: 'allumé',
    off: 'éteint',
    allOff: 'tous les voyants éteints',
    othersOff: 'tous les autres éteints',
    colourOn: (colour) => `allumé, ${colour}`,
    light: (label, colours) => `${label} (${list(colours, 'or')})`,
    flashes: (colour, perMinute) => {
      const what = `clignote ${colour === null ? '' : `${colour}, `}${perMinute} fois par minute`;
      const count = perMinute / 6;
      if (perMinute > 240) return `${what} : si vite qu'il paraît allumé`;
      if (count < 1) return `${what} : une fois toutes les ${duration(60 / perMinute)}`;
      return `${what} : environ ${Math.round(count)} en dix secondes`;
    },
    bursts: (colour, burst, pause) =>
      `${plural(burst, 'éclat', 'éclats')}${colour === null ? '' : ` ${colour}`}, puis éteint pendant ${duration(pause)}, sans cesse`,
    sweep: (labels, step) =>
      `${labels.join(', ')} s'allument l'un après l'autre, ${duration(step)} chacun, sans cesse`,
    inTurn: (place, of) => `à tour de rôle, ${place} sur ${of}`,
    display: (text) => `l'écran montre « ${text} »`,
    overTime: (seconds) => `en ${duration(seconds)}`,
    busy: "L'appareil écrit peut-être : ne pas couper le courant, ne pas retirer la carte.",
  },

  failure: {
    people:
      "Les personnes d'abord. Fumée, odeur, sifflement, gonflement ou chaleur : partir, appeler les secours.",
    stop: "S'arrêter où l'on est. Cette fiche ne donne aucun ordre d'étapes sauf celui qui est imprimé ; ne pas en inventer.",
    writing:
      "L'appareil écrit peut-être tant qu'il montre l'un de ceux-ci. Laisser courant et carte tels quels, et appeler avant de faire quoi que ce soit :",
    writingUnknown:
      "Si l'on ne peut pas savoir s'il écrit, laisser courant et carte tels quels, et appeler avant de faire quoi que ce soit.",
    note: "À noter pour l'appel : numéro de la fiche, numéro de l'étape, les voyants, l'heure, et où en est chaque chose.",
    helpline: 'Assistance',
    hours: (hours) => `(${hours})`,
    noHelpline: 'Le manifeste ne nomme aucune assistance. Appeler le chef de service :',
    helplineClosed:
      "Assistance fermée ou pas de réseau : laisser tout en l'état, tenir les gens à distance, appeler le chef de service.",
    outcome:
      "Un échec est aussi un résultat : écrire « failed », comment l'appareil est laissé, les voyants et ce que l'on a vu.",
  },

  results: {
    intro: "Écrire ce que l'on voit, pas ce que l'on attend. Une ligne par appareil.",
    serial: 'Numéro de série',
    plate: `De la plaque : ${glue} quatre${glue}derniers${glue}____________ ${glue} révision${glue}________`,
    versionBefore: "Version d'avant",
    versionRead: 'Version lue',
    outcome: 'Résultat',
    outcomes: [
      'updated (mis à jour)',
      'failed (échec)',
      'deferred (reporté)',
      'already-current (déjà à jour)',
    ],
    lights: 'Voyants à la fin',
    left: 'Laissé',
    leftChoices: [
      'running (en marche)',
      'off (arrêté)',
      'locked-off (cadenassé)',
      'no-life (sans signe de vie)',
    ],
    reason: 'Si reporté',
    reasons: [
      "no-access (pas d'accès)",
      'refused (refus du client)',
      'no-time (pas le temps)',
      'unsafe (dangereux)',
      'wrong-hardware (autre matériel)',
      'no-card (pas de carte)',
      'other (autre)',
    ],
    cause: 'Si échec',
    causes: [
      'release (le micrologiciel)',
      'card (la carte)',
      "unit (l'appareil)",
      'site (le site)',
      'safety (la sécurité)',
    ],
    card: 'Carte',
    caseNumber: 'Numéro de dossier',
    told: 'Client prévenu',
    by: 'Par',
    time: 'Jour et heure',
    note: 'Remarque',
  },

  spoken: {
    box: 'case à cocher',
    blank: 'à remplir',
    code: (number) => `code QR avec le numéro ${number} et la version de cette fiche`,
    steps: 'Étape',
  },

  slip: {
    title: 'POUR LE CLIENT',
    head: (number) => `Billet de la fiche ${number}`,
    foot: (number, page, pages) => `Billet de la fiche ${number}   page ${page} sur ${pages}`,
    intro:
      'À garder là où le voient tous ceux qui pourraient remettre quelque chose en marche. Ce qui est coché et écrit ici à la main compte.',
    day: 'Jour et heure',
    site: 'Site',
    equipment: 'Équipement',
    unit: (row) => `Appareil ${row}`,
    serial: 'Numéro de série',
    work: 'Nouveau micrologiciel',
    works: ['est en place', "n'est pas entré", "n'a pas été commencé", 'y était déjà'],
    left: 'Il est laissé',
    lefts: ['en marche', 'arrêté', 'arrêté et cadenassé', 'sans signe de vie'],
    stands: 'Où en est chaque chose, et doit rester :',
    doNot: 'NE PAS METTRE EN MARCHE, OUVRIR OU DÉBRANCHER :',
    until: "jusqu'à ce que cette personne le dise :",
    rules: "S'IL VOUS PLAÎT",
    asLeft:
      "Tout laisser comme coché ici, jusqu'à ce que la personne nommée ici dise autre chose. N'enlever ni cadenas ni étiquette : seul qui l'a posé le fait.",
    card: 'Ne pas enfoncer ni retirer de carte mémoire.',
    writing:
      "L'appareil écrit peut-être encore. Laisser son courant et sa carte tels quels ; ne rien couper ni mettre en marche.",
    inside:
      "N'ouvrir aucun capot. Certaines parties à l'intérieur restent sous tension, quoi que l'on coupe. Le travail à l'intérieur revient aux personnes habilitées, selon la réglementation locale et le manuel du fabricant, qui priment sur ce billet.",
    hazards: {
      'automatic-restart': 'Il peut démarrer de lui-même à tout moment. Tenir personnes et mains à distance.',
      'backup-output-live':
        "La sortie de secours peut être sous tension, ou s'enclencher à tout moment, réseau coupé.",
      'vehicle-connected': "Ne raccorder aucun véhicule, sauf si l'appareil est laissé en marche.",
      backfeed: "Réseau coupé, une tension peut encore venir d'une autre source.",
    },
    never: 'Jamais en même temps :',
    leave:
      "Fumée, odeur, sifflement, gonflement ou chaleur : partir, tenir les autres à distance, appeler les secours. Eux d'abord.",
    ring: 'QUI APPELER',
    ringWhen:
      "Appeler avant de mettre quoi que ce soit en marche ou à l'arrêt, et chaque fois que quelque chose n'est pas comme écrit ici.",
    emergency: 'Secours',
    service: 'Entreprise de service, à toute heure',
    lead: 'Chef de service',
    helpline: 'Assistance du fabricant',
    caseNumber: 'Numéro de dossier',
    told: 'Dit à (nom)',
    by: 'Par (nom)',
  },

  walk: {
    title: (serial, product) => `VISITE À ${serial}, ${product}`,
    carries: (id) => `Micrologiciel apporté : ${id}`,
    source: (text) => `La procédure du fabricant, d'après : ${text}`,
    leave:
      'Chaque réponse est gardée aussitôt. Ctrl-C interrompt la visite à tout moment ; elle peut être reprise.',
    resumed: (when) =>
      `Cette visite a été commencée ${when} et interrompue. Elle continue une fois ceci revu.`,
    before: 'AVANT',
    after: 'ENSUITE',
    anew: 'À REVOIR AVANT DE CONTINUER',
    stopped: 'ARRÊTÉ',
    caution: (number, count) => `PRÉCAUTION ${number} sur ${count}`,
    triesLeft: (count) =>
      count === 1 ? "C'est la seule fois qui reste." : `Il reste ${count} fois, celle-ci comprise.`,
    thenStands: 'Une fois fait :',

    card: 'QUELLE CARTE EST DANS VOTRE MAIN ? Ce doit être celle qui a été préparée pour cette version. Si elle peut être lue ici, la lire maintenant.',
    cardName: "Nom de la carte, tel qu'il est écrit dessus",
    cardPath: 'Son lecteur, dossier ou fichier image de carte',
    cardRead: 'Lecture de la carte …',
    cardReady: 'prête : chaque octet du micrologiciel a été lu sur elle et concorde',
    cardOther: 'une autre carte',
    cardWhy: {
      used: 'Elle est allée dans un appareil depuis sa préparation, et ces appareils modifient une carte.',
      'not-ready': "D'après le registre, elle a été préparée pour autre chose, ou n'était pas prête.",
      'not-known': 'Le registre ne la connaît pas comme préparée.',
    },
    cardOf: (name, when) => `${name}, préparée ${when}`,
    plate: "EST-CE L'APPAREIL ? Aller à sa plaque. Taper ce que dit la plaque, pas ce que dit une liste.",
    lastFour: 'Quatre derniers caractères du numéro de série de la plaque',
    revision: 'Révision du matériel sur la plaque',
    versionBefore: "QUELLE VERSION L'APPAREIL MONTRE-T-IL MAINTENANT ? La taper caractère par caractère.",
    version: "Version, telle que l'écran la montre",
    lead: "LA VERSION NE PEUT PAS ÊTRE LUE. Appeler le chef de service. Rien ne commence avant qu'il le dise.",
    leadName: 'Qui le dit ?',
    settings: 'NOTER CES RÉGLAGES. Le nouveau micrologiciel les remet à zéro ; vous les rétablirez ensuite.',
    starts: "TOUT EST-IL AINSI ? La procédure part de là et de rien d'autre.",
    plateTime: (time) =>
      `La plaque de l'appareil marque-t-elle un temps de décharge ? Le plus long de celui-ci et de ${time} compte. Le temps court déjà.`,
    plateMinutes: 'Minutes sur la plaque',
    waiting: (left) => `encore ${left} à attendre`,
    waited: 'Le temps est écoulé.',
    holdNow: 'Appuyer sur b et tenir le bouton au même moment.',
    holding: (seconds, from, to) => `${seconds} s   (lâcher entre ${from} et ${to})`,
    meterBefore: "Montrer sur une source connue que l'appareil de mesure est bon. L'est-il ?",
    meterAfter: "Montrer encore sur une source connue que l'appareil de mesure est toujours bon. L'est-il ?",
    reading: (number, count, between) =>
      count === 1 ? between : `Valeur ${number} sur ${count} : ${between}`,
    review: "Ces valeurs comptent. Sont-elles ce que montrait l'appareil de mesure ?",
    outside: 'hors limites',
    watchLeft: (left) => `encore ${left}`,
    read: (where) =>
      `LIRE LA VERSION SUR L'APPAREIL${where === null ? '' : ` (${where})`}. La taper caractère par caractère.`,
    readAgain: "Regarder l'écran encore une fois et taper à nouveau, quoi qu'il dise.",
    sign: (number, count) => `DE NOUVEAU EN SERVICE ? ${number} sur ${count}. Voir de ses yeux :`,
    restore: (number, count) => `RÉTABLIR LE RÉGLAGE, ${number} sur ${count} :`,
    restoreTo: (before) => `Vous aviez noté : ${before}`,
    position: (name) => `OÙ CELA EN EST-IL MAINTENANT ? Aller voir : ${name}`,
    left: "COMMENT L'APPAREIL EST-IL LAISSÉ ?",
    cause: 'SUR QUOI A-T-IL ÉCHOUÉ ?',
    reason: 'POURQUOI EST-IL REPORTÉ ?',
    case: "L'ASSISTANCE A-T-ELLE DONNÉ UN NUMÉRO DE DOSSIER ?",
    caseNumber: 'Numéro de dossier',
    told: "DIRE AU CLIENT ce qui a été fait, comment l'appareil est laissé et ce qui ne doit pas être remis en marche.",
    toldName: 'Nom de la personne prévenue',
    lapsed: (numbers) =>
      `Ce qui a été mesuré à ${list(numbers)} ne vaut plus : on a remis en marche depuis. À traiter comme sous tension.`,
    another: "CETTE QUESTION N'EST PAS CELLE À LAQUELLE VOUS AVEZ RÉPONDU ; ELLE SE POSE À NOUVEAU.",

    keys: {
      read: 'lu et compris',
      stop: 'arrêter : où en est tout, et que faire',
      type: 'le taper',
      readCard: 'elle est dans un lecteur ici : la lire',
      cannotReadCard: 'elle ne peut pas être lue ici',
      noVersion: 'elle ne peut pas être lue',
      leadGo: 'le chef dit : continuer',
      leadNot: 'le chef dit : ne pas commencer',
      yesAll: 'oui, tout',
      otherwise: 'non, quelque chose est autrement',
      done: 'fait',
      cannot: 'cela ne peut pas se faire',
      noPlate: "la plaque n'en marque pas",
      goOn: 'continuer',
      begin: 'commencer, et tenir',
      held: 'fait : tenu et lâché à temps',
      holdAgain: 'raté avant que rien ne se passe : tenir à nouveau',
      good: 'oui, il est bon',
      bad: 'non, ou pas sûr',
      take: 'oui, elles comptent',
      again: 'non, mesurer à nouveau',
      unlisted: "d'autres voyants que ceux-ci",
      yes: 'oui',
      no: 'non, ou pas sûr',
      restored: 'rétabli',
      notRestored: 'ne peut pas être rétabli',
      noCase: 'pas de numéro de dossier',
      nobody: "il n'y avait personne à prévenir",
      backToWalk: "continuer là où l'on s'est arrêté",
      lookAgain: 'regarder encore, et répondre à nouveau',
      breakOff: 'interrompre ici ; la visite reste ouverte et peut être reprise',
      endFailed: 'finir la visite ici : failed (échec)',
      endDeferred: 'finir la visite ici : deferred (reporté)',
    },

    choices: {
      running: 'en marche',
      off: 'arrêté',
      'locked-off': 'arrêté et cadenassé',
      'no-life': 'sans signe de vie',
      release: 'la version : le nouveau micrologiciel lui-même',
      card: 'la carte',
      unit: "l'appareil",
      site: 'le site',
      safety: "la sécurité : il n'était pas sûr de continuer",
      'no-access': "pas d'accès",
      refused: 'le client a refusé',
      'no-time': 'pas le temps',
      unsafe: 'dangereux',
      'wrong-hardware': 'autre matériel',
      'no-card': 'pas de carte',
      other: 'autre chose',
    },

    complaints: {
      backwards: () => 'Ce moment est avant la réponse précédente.',
      'card-not-ready': (seen) =>
        `On ne sait pas si cette carte est prête pour cette version. ${seen} En prendre une autre, ou arrêter.`,
      'last-four-form': () => 'Quatre caractères, les derniers du numéro de série de la plaque.',
      'last-four-differs': (seen) =>
        `Un appareil dont le numéro finit par ${seen} N'EST PAS l'appareil de cette visite. Ne toucher à rien. Trouver le bon, ou regarder à nouveau.`,
      'revision-unknown': (seen, expected) => `Ce produit n'a pas de révision ${seen}. Il y a : ${expected}.`,
      'revision-again': (seen) =>
        `La révision ${seen} n'est pas celle qui est inscrite, ou ne peut pas recevoir cette version. Regarder la plaque encore une fois ; si elle le redit, la visite finit ici.`,
      'version-form': (seen) =>
        `${seen} n'est pas une version de ce produit. La taper comme l'écran la montre.`,
      'version-before-again': (seen: string) =>
        `La version apportée ne fait pas suite à ${seen}. Regarder encore une fois ; si l'afficheur indique de nouveau la même chose, la visite s'arrête ici.`,
      'version-again': () => "Ce n'est pas la version qui a été apportée. Regarder encore une fois.",
      'text-form': () => 'Il faut écrire quelque chose ici, sur une ligne et pas trop long.',
      'plate-time-form': () => 'Des minutes, comme 10 ou 7,5.',
      'too-early': (_seen, _expected, time) => `Pas avant ${time}. Attendre.`,
      'time-is-up': (_seen, _expected, time) =>
        `Le temps était écoulé à ${time} : ce que montrent les voyants maintenant vient trop tard.`,
      'not-yet-late': (_seen, _expected, time) => `Le temps n'est pas écoulé avant ${time}.`,
      'pattern-unlisted': (seen) => `${seen} n'est pas sur la liste de cette étape.`,
      'reading-form': () => "Un nombre avec son signe, comme 0.4 ou -1,2. Sans l'unité.",
      'reading-ambiguous': (seen) =>
        `${seen} pourrait être un peu plus d'un ou plus de mille. Le taper avec d'autres chiffres : 1,23 ou 1234.`,
      'meter-bad': () =>
        'Alors aucune valeur ne compte. Prendre un autre appareil de mesure, et tout mesurer à nouveau.',
      'readings-again': () => 'Alors tout mesurer à nouveau.',
      'state-unknown': (seen, expected) => `Il n'y a pas de ${seen} ici ; il y a : ${expected}.`,
      'cannot-go-on': () => "On ne peut pas continuer d'ici.",
      'outcome-not-open': (seen, expected) => `Cela ne peut plus être ${seen}, seulement : ${expected}.`,
    },

    stop: {
      why: {
        asked: 'Vous avez arrêté.',
        cannot: 'Une étape ne peut pas se faire.',
        'starts-otherwise': 'Quelque chose est autrement que là où commence la procédure. Ne pas commencer.',
        'other-unit': "La plaque n'est pas celle de l'appareil où cette visite a été commencée.",
        'positions-differ':
          "Les choses sont autrement que cette visite les a laissées. Ce qui s'est passé depuis est inconnu.",
        'not-dead':
          "La mesure qui montrait l'absence de tension ne la montre plus. TRAITER COMME SOUS TENSION.",
        'manifest-changed':
          'La procédure du manifeste a changé depuis le début de cette visite ; elle ne peut donc pas continuer.',
      },
      stands: 'Où en est tout, pour ce que sait cette visite :',
      seen: "Où en est tout, comme vous l'avez vu :",
      orElse: (state, step) => `ou ${state}, si ${step} a été commencée`,
      untouched: "Cette visite n'a rien commuté, branché ni ouvert. Tout laisser tel quel.",
      ended:
        "La procédure est arrivée à sa fin. Il reste à dire comment l'appareil est laissé, et à qui on l'a dit.",
      order:
        "La procédure du fabricant continue d'ici jusqu'à une fin comme ceci. La suivre étape par étape dans la visite, pas de mémoire :",
      noOrder:
        "D'ici, le fabricant ne donne pas d'autre ordre que de continuer la procédure. Ne pas en inventer. Tout laisser en l'état.",
      ask: "Demander à l'assistance, ou à une personne habilitée de l'entreprise :",
      askWriting:
        "Écrit-il peut-être encore ? Combien de temps courant et carte doivent-ils rester tels quels, et qu'est-ce qui y met fin ?",
      askPosition: (name, state, ends) =>
        `${name}, maintenant ${state} : cela peut-il rester ainsi ? Sinon, qui peut le remettre sur ${ends}, et dans quel ordre avec le reste ?`,
      askStays: "Cela peut-il rester exactement en l'état, et combien de temps ?",
      whenDone: 'puis',
      ways: {
        passes: 'tout est ainsi :',
        'does-not-pass': 'sinon :',
        'release-version': 'la version apportée :',
        'other-version': 'une autre version :',
        unreadable: 'illisible :',
        'no-tries-left': 'une fois ses essais épuisés :',
        late: 'le temps est écoulé :',
        unlisted: "d'autres voyants :",
        lights: 'ces voyants :',
        done: 'fait :',
      },
      measured: 'toutes les valeurs dans les limites :',
      notMeasured: 'une valeur hors limites :',
      endsAs: (outcome, left) => `FIN : ${outcome}. Tout est alors ainsi : ${left}.`,
      resume: 'La visite reste ouverte. La reprendre avec :',
    },

    over: {
      updated: 'Mis à jour.',
      failed: 'Échec.',
      deferred: 'Reporté.',
      'already-current': "Il a déjà cette version ; rien n'a été installé.",
      notRestored: (settings) => `Non rétabli : ${list(settings)}.`,
    },
  },

  pocket: {
    steps: {
      identify:
        "EST-CE L'APPAREIL ? Lire sa plaque : les quatre derniers caractères du numéro de série et la révision du matériel. Se fier à la plaque, pas à cette page.",
      identifyMatch: (revisions) =>
        `Ils doivent être ceux de l'appareil, et la révision l'une de : ${revisions.join(', ')}.`,
      versionBefore: "NOTER LA VERSION D'AVANT, telle que l'appareil la montre, caractère par caractère.",
      versionSame:
        "Si c'est déjà la version de cette fiche : ne pas installer. Indiquer « already-current » (déjà à jour).",
      readSame: 'La version de cette fiche :',
      readVersion: (where) =>
        `LIRE LA VERSION${where === null ? '' : ` (${where})`} et la taper, caractère par caractère, avant de comparer.`,
      condition:
        "COMMENT L'APPAREIL EST-IL LAISSÉ ? En marche, arrêté, arrêté et cadenassé, ou sans signe de vie.",
    },
    noScript:
      "Rien n'est minuté ici et aucun résultat ne peut être établi, car cette page n'exécute pas de scripts là où elle est ouverte. Ouvrir le fichier dans le navigateur du téléphone. Tout ce qui est à lire est ci-dessous.",
    offline: "Cette page n'a besoin d'aucun réseau et n'envoie rien d'elle-même.",
    controls: 'Écran et son',
    dark: 'Sombre',
    sun: 'Plein soleil',
    size: (percent) => `Texte ${percent}${glue}%`,
    sound: (on) => (on ? 'Son activé' : 'Son coupé'),
    running: 'Temps en cours',
    placesName: 'Parties de cette page',
    places: {
      walk: 'Suivi',
      list: 'Étapes',
      lights: 'Voyants',
      trouble: 'Panne',
      result: 'Résultat',
    },
    unit: (row, serial) => `Ligne ${row} : ${serial}`,
    timeNow: (step, left) => `${step} : encore ${left}`,
    timeOver: (step) => `${step} : le temps est écoulé`,
    noStore:
      'Ce téléphone ne laisse rien garder à la page : si elle est fermée ou rechargée, tout ce qui a été tapé est perdu. La garder ouverte.',
    keepOpen:
      "Garder cette page ouverte et l'écran allumé : écran éteint, une minuterie peut ne pas sonner, même si elle continue de compter.",

    cautions: {
      read: (count, of) => `${count} sur ${of} lues`,
      tickEach: 'Cocher chacune une fois lue à haute voix.',
      acknowledge: 'Toutes lues et comprises',
      missing: (count) =>
        count === 1
          ? "Une précaution n'est pas encore cochée."
          : `${count} précautions ne sont pas encore cochées.`,
      emergency: 'Secours, numéro ici',
      secondPerson: 'Deuxième personne, nom et numéro',
      emergencyIs: 'Secours :',
      secondPersonIs: (who) => `Deuxième personne : ${who}`,
    },

    begin: {
      title: 'QUEL APPAREIL ?',
      order:
        "Un appareil après l'autre, dans l'ordre des lignes. En finir un, résultat établi, avant de commencer le suivant.",
      serial: "Numéro de série de l'appareil, d'après sa plaque",
      serialForm: 'Un numéro de série de 4 à 40 lettres et chiffres.',
      serialCheck:
        'Les caractères de contrôle de ce numéro ne concordent pas : un caractère est faux. Relire la plaque.',
      take: 'Prendre cet appareil',
      ready: 'AVANT DE COMMENCER',
      overBy: (longest) =>
        `Commencé maintenant, c'est fini à ${longest} au plus tard, par le chemin le plus long de la procédure.`,
      ifWell: (shortest) => `Si tout va bien, vers ${shortest}.`,
      siteFirst:
        "Premier appareil ici aujourd'hui : ce qui est fait une fois pour le site auparavant fait partie de ce suivi.",
      siteOpened: (serial) => `Ce qui est fait une fois pour le site a été fait avec ${serial}.`,
      siteLast:
        "Dernier appareil ici aujourd'hui : ce qui est fait une fois pour le site ensuite fait partie de ce suivi.",
      siteMore: "Un autre appareil suit ici aujourd'hui : ce qui est fait une fois ensuite viendra avec lui.",
      toMore: 'Non : un autre suit',
      toLast: "Non : c'est le dernier",
      begin: 'Commencer le suivi',
      other: 'Un autre appareil',
      done: (outcome) => `résultat établi : ${outcome}`,
      under: 'suivi en cours',
    },

    card: "QUELLE CARTE EST DANS VOTRE MAIN ? Ce doit être celle qui a été préparée pour cette version et que l'ordinateur a montrée prête. Un téléphone ne peut pas la lire.",
    cardReady: 'Montrée prête, pas utilisée depuis',
    cardNot: 'Non, ou pas sûr',
    cardWhy: "Personne ne dit que l'ordinateur l'a montrée prête.",
    typed: "Prendre ce que j'ai tapé",
    minus: 'Plus ou moins',
    confirmChoice: 'Voilà ce que je vois',
    choose: "En choisir un d'abord.",
    takeBack: 'Reprendre la dernière réponse',
    sure: (what) => `Vraiment : ${what}`,
    next: 'Appareil suivant',
    here: 'VOUS ÊTES ICI',
    doneAt: (time) => `fait à ${time}`,
    seenWhat: 'Que voyez-vous ?',
    means: 'Cela signifie :',
    stop: 'STOP : quelque chose ne va pas',
    ring: (phone) => `Appeler ${phone}`,
    seenLast: (what, time) => `Vu à ${time} : ${what} Continuer à observer.`,
    over: 'Le temps est écoulé.',
    overGo: 'Le temps est écoulé : continuer',
    notOver: 'Pas encore : attendre',
    waitGo: 'Le temps est écoulé : continuer',

    hold: {
      start: 'Compter avec moi',
      again: 'Compter encore',
      ready: 'Poser le doigt sur le bouton. Appuyer à zéro.',
      press: 'APPUYER ET TENIR',
      letGo: 'LÂCHER MAINTENANT',
      tooLong: 'TROP LONG : lâcher',
      seconds: (seconds) => `${seconds}${glue}s`,
    },
    count: {
      start: 'Compter les clignotements pendant dix secondes',
      now: 'Compter maintenant, à haute voix',
      over: 'Stop. Combien y en avait-il ?',
    },

    lights: {
      play: 'Montrer',
      stop: 'Arrêter',
      slowed: (times) =>
        `Montré ${times.toFixed(1).replace('.', ',')} fois plus lentement que sur l'appareil : rien sur cette page ne clignote plus de trois fois par seconde. Se fier au nombre.`,
      still:
        'Ce téléphone demande peu de mouvement, donc les voyants restent immobiles. Les bandes montrent la même chose.',
    },

    reload: {
      title: 'CETTE PAGE A ÉTÉ FERMÉE OU RECHARGÉE',
      text: (from, to) =>
        `Elle a compté pour la dernière fois à ${from} ; il est maintenant ${to}. Les minuteries ont continué.`,
      stayed: "J'étais tout le temps près de l'appareil, et personne n'a rien touché",
      anew: 'Non, ou pas sûr : tout confirmer à nouveau',
      mustAnew:
        "C'est trop ancien : appareil, positions et absence de tension sont à confirmer à nouveau avant de continuer.",
      damaged:
        'Ce que ce téléphone a gardé du suivi ne peut pas être lu. Recommencer le suivi depuis sa première étape.',
    },
    brokenOff:
      'Le suivi est interrompu. Avant de continuer, appareil, positions et absence de tension sont à confirmer à nouveau.',
    resume: 'Continuer ce suivi',

    result: {
      title: 'RÉSULTAT',
      intro: "Écrire ce que l'on voit, pas ce que l'on attend.",
      unitFirst: "Choisir d'abord l'appareil, sous « Suivi ».",
      ended: "Le suivi est fini. Relire le résultat et l'établir.",
      toResult: 'Vers le résultat',
      none: 'non dit',
      confirmed: "J'ai regardé à nouveau : l'écran montre vraiment exactement ceci",
      make: 'Établir le résultat',
      made: (time) => `Établi à ${time}`,
      anew: "Le changer et l'établir à nouveau",
      file: 'Enregistrer comme fichier',
      share: 'Envoyer le fichier',
      copy: 'Copier le texte du code QR',
      copied: 'Copié.',
      notCopied: "La copie n'a pas marché. Enregistrer plutôt le fichier.",
      code: 'CODE POUR LE TÉLÉPHONE',
      codeHow:
        'Dire le numéro de la fiche, puis ce code, caractère par caractère. On demandera ensuite qui et quand.',
      codeNone:
        "Il n'y a pas de code court pour ce numéro ou cette version. Donner plutôt le fichier ou le code QR.",
      spelled: 'À dire :',
      qr: 'CODE QR',
      qrHow: "À lire par l'ordinateur ou un autre téléphone.",
      qrNone:
        'La remarque est trop longue pour un code QR sur cet écran. Donner le fichier, ou raccourcir la remarque.',
      qrAlt: 'Code QR avec ce résultat',
      whatItSays: "Il dit ce qui est écrit plus haut, qui et quand. Ce n'est pas une preuve en soi.",
      forget: 'Tout oublier sur ce téléphone',
      forgetWhat: 'oublier suivis, résultats et tout ce qui a été tapé ici',
      faults: "Ce n'est pas encore complet :",
      fault: {
        'outcome-missing': "Qu'en est-il advenu ?",
        'by-missing': 'Qui a fait le travail ?',
        'time-form': 'Jour et heure.',
        'version-form':
          "Ce n'est pas une version de ce produit. Ce qui n'est pas une version va dans la remarque.",
        'version-missing': "Seule une version lue sur l'appareil montre qu'il est déjà à jour.",
        'display-not-confirmed':
          "Ce n'est pas la version qui a été apportée. Regarder à nouveau : cocher que c'est vraiment ce qui est montré, ou corriger.",
        'left-missing': "Comment l'appareil est-il laissé ?",
        'reason-missing': 'Pourquoi est-il reporté ?',
        'too-long': 'Trop long. Le raccourcir.',
      },
    },
    spelling: internationalSpelling,
  },
});
