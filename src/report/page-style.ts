/**
 * Look of the report's page: text like a printed protocol, pictures as wide as they are drawn, the same in light, in dark
 * and on paper.
 * @module
 */

/** The style sheet. */
export const PAGE_STYLE = `
:root{color-scheme:light dark;--paper:#fff;--ink:#1f2328;--faint:#57606a;--line:#c8ced6;--wash:#f4f6f8;
--spoilt:#a31f16;--doubtful:#7a4b00;--notable:#0a5794}
@media (prefers-color-scheme:dark){:root{--paper:#0f1318;--ink:#d8dee4;--faint:#9aa6b2;--line:#38424d;--wash:#171d24;
--spoilt:#ff9b90;--doubtful:#f0bf6c;--notable:#7cc4f5}}
*{box-sizing:border-box}
body{margin:0 auto;max-width:1180px;padding:1rem 1.25rem 4rem;background:var(--paper);color:var(--ink);
font:16px/1.5 system-ui,-apple-system,"Segoe UI","DejaVu Sans",sans-serif}
h1{font-size:1.7rem;line-height:1.2;margin:1rem 0 .25rem;overflow-wrap:anywhere}
h2{font-size:1.25rem;margin:2.5rem 0 .75rem;padding-top:.5rem;border-top:2px solid var(--line)}
h3{font-size:1.02rem;margin:1.75rem 0 .35rem;overflow-wrap:anywhere}
p{margin:.4rem 0;max-width:46rem}
.faint,caption,figcaption{color:var(--faint)}
nav ul{list-style:none;display:flex;flex-wrap:wrap;gap:.25rem 1.1rem;padding:0;margin:.75rem 0}
a{color:var(--notable)}
.key{display:grid;grid-template-columns:repeat(auto-fit,minmax(9rem,1fr));gap:1px;margin:1rem 0;padding:0;
background:var(--line);border:1px solid var(--line)}
.key div{background:var(--paper);padding:.5rem .75rem}
.key dt{color:var(--faint);font-size:.85rem}
.key dd{margin:0;font-size:1.25rem;font-variant-numeric:tabular-nums}
.warnings{list-style:none;padding:0;margin:0}
.warnings li{display:flex;gap:.75rem;padding:.35rem 0;border-bottom:1px solid var(--line);overflow-wrap:anywhere}
.warnings b{flex:0 0 5.5rem}
.spoilt b{color:var(--spoilt)}.doubtful b{color:var(--doubtful)}.notable b{color:var(--notable)}
.caution{border-left:4px solid var(--doubtful);padding:.3rem .8rem;background:var(--wash)}
#player:not([hidden]){display:flex;flex-wrap:wrap;align-items:center;gap:.75rem 1.5rem;padding:.75rem;
background:var(--wash);border:1px solid var(--line)}
#player label{display:inline-flex;align-items:center;gap:.4rem}
#player fieldset{border:1px solid var(--line);padding:.1rem .75rem .3rem}
#player fieldset label+label{margin-left:1rem}
button{font:inherit;min-width:5rem;padding:.4rem 1rem;color:var(--paper);background:var(--ink);border:0;border-radius:3px}
:focus-visible{outline:3px solid var(--notable);outline-offset:2px}
figure{margin:.75rem 0}
audio{display:block;max-width:100%}
.wide{overflow-x:auto;margin:.75rem 0}
table{border-collapse:collapse;font-size:.92rem;font-variant-numeric:tabular-nums}
caption{text-align:left;padding-bottom:.3rem}
th,td{padding:.22rem .7rem;border-bottom:1px solid var(--line);vertical-align:top;text-align:left;font-weight:400}
thead th{color:var(--faint);font-size:.85rem;white-space:nowrap}
.figure{text-align:right;white-space:nowrap}
td.long{min-width:16rem;overflow-wrap:anywhere}
td.outside{font-weight:600}
svg.plot{display:block;max-width:100%;height:auto;background:var(--paper)}
svg.plot[width="1120"]{min-width:54rem}
.pictures{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,32rem),1fr));gap:0 1rem}
.pictures>*{min-width:0}
code{font:.85em ui-monospace,"DejaVu Sans Mono",monospace;overflow-wrap:anywhere}
@media print{:root{--paper:#fff;--ink:#000;--faint:#444;--line:#bbb;--wash:#fff;--spoilt:#900;--doubtful:#640;
--notable:#036}
body{max-width:none;padding:0;font-size:10pt}nav,#listen{display:none}a{color:inherit}
.wide{overflow:visible}svg.plot[width="1120"]{min-width:0}svg.plot,tr,.warnings li,h3+*{break-inside:avoid}
h2,h3{break-after:avoid}table{font-size:8.5pt}td.long{min-width:0}}
`;
