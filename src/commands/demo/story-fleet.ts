// The units of the made-up Sorrel Vale energy co-operative, as its office keeps them in a table.

export const fleetCsv = `serial,site,product,hardware,version,role,versionReadOn
TB8120000586,Alder Farm,hearth-90,B,2.5.0,barn roof store,2026-09-14
TB8120000834,Thistle Croft,hearth-90,B,2.5.0,dairy store,2026-09-15
TB8120001170,Low Meadow,hearth-90,C,2.5.3,grain dryer store,2026-10-02
TB8120001642,Mill Acre,hearth-90,A,2.2.4,workshop store,2026-06-30
TB8120002020,Brook End,hearth-90,C,,spare from the flood,
TW2C0047113K,Alder Farm,weir-18,,2026-01-28,well pump,2026-03-03
TW3D00518202,Low Meadow,weir-18,,2024-10-07,field pump,2025-11-20
TKR240003091282,Thistle Croft,kerb-22,,121,yard charger,2026-10-20
TKR140002187732,Mill Acre,kerb-22,,121,visitors' charger,2026-10-20
`;

export const visitedSerials = ['TB8120000586', 'TB8120000834', 'TB8120001170'] as const;
