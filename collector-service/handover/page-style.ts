/** The looks of the page in a hand-over file, which has no other file beside it. */
export const pageStyle = `
:root { color-scheme: light dark; --ground: #f7f2e8; --ink: #17262b; --quiet: #38464b; --edge: #b9ae9a;
  --c0: #0b5c74; --c1: #9a3412; --c2: #3f6212; --c3: #6b21a8; --c4: #7a5200; --c5: #334155; }
@media (prefers-color-scheme: dark) { :root { --ground: #10191c; --ink: #f1ece1; --quiet: #b9c4c7;
  --edge: #4a585d; --c0: #7cd0ea; --c1: #fdba8c; --c2: #bfe38a; --c3: #dcb8fb; --c4: #f4d27a; --c5: #cbd5e1; } }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 60rem; padding: 1rem; background: var(--ground); color: var(--ink);
  font: 17px/1.5 system-ui, sans-serif; overflow-wrap: anywhere; }
h1 { font-size: 1.5rem; line-height: 1.25; } h2 { font-size: 1.25rem; margin-block-start: 2rem; }
h3 { font-size: 1rem; margin-block: 1rem 0; }
p, li { max-width: 44rem; } .quiet { color: var(--quiet); }
.scroll { overflow-x: auto; } .scroll:focus-visible { outline: 3px solid var(--c0); }
table { border-collapse: collapse; } th, td { padding: .25rem .75rem .25rem 0; text-align: end;
  vertical-align: top; border-block-end: 1px solid var(--edge); overflow-wrap: normal; }
th:first-child, td:first-child { text-align: start; } td small { display: block; color: var(--quiet);
  font-size: 1rem; }
dl { display: grid; grid-template-columns: minmax(8rem, auto) 1fr; gap: .25rem 1rem; max-width: 44rem; }
dt { color: var(--quiet); } dd { margin: 0; }
article { border-inline-start: 4px solid var(--edge); padding-inline-start: .75rem; margin-block: 1rem; }
article.danger { border-color: var(--c1); }
figure { margin: 0; } svg { max-width: 100%; height: auto; } figure > svg { width: 100%; }
svg text { font-size: 14px; fill: var(--ink); } .grid { stroke: var(--edge); stroke-width: .5; }
.line { fill: none; stroke-width: 1.5; } .s0 { stroke: var(--c0); }
.s1 { stroke: var(--c1); stroke-dasharray: 6 2; } .s2 { stroke: var(--c2); stroke-dasharray: 2 2; }
.s3 { stroke: var(--c3); stroke-dasharray: 8 3 2 3; } .s4 { stroke: var(--c4); stroke-dasharray: 12 3; }
.s5 { stroke: var(--c5); stroke-dasharray: 1 3; }
.key { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .25rem 1.25rem; }
@media (max-width: 30rem) { dl { grid-template-columns: 1fr; } dd { margin-block-end: .5rem; } }
`;
