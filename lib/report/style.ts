import { darkChartCss } from "../charts/index.js";
import { explorerStyle } from "./explorer/index.js";
import { chartWidths, widthNames } from "./section.js";

/** Rules that show a chart at the widest of the widths it is drawn at that its place has room for. */
const shownWidths = Object.entries(chartWidths).flatMap(([place, widths]) =>
  widths.map((width, i) => {
    const hidden = widths.flatMap((_, j) => (j === i ? [] : [`.${place} .${widthNames[j]}`])).join(",");
    const rule = `.${place} .${widthNames[i]}{display:block}${hidden}{display:none}`;
    return i === 0 ? rule : `@container (min-width:${width}px){${rule}}`;
  }),
);

/** The style sheet of a report: light and dark pages, phone to desk width, and paper. */
export const styleSheet = `
:root{--page:#ffffff;--card:#f5f7f9;--ink:#1f2933;--muted:#4a5562;--line:#d3d9e0;--link:#005b8e;
--note:#0072b2;--good:#007a59;--warning:#b26a00;--error:#b84300;color-scheme:light dark}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0;background:var(--page);color:var(--ink);
font:1rem/1.55 system-ui,"DejaVu Sans",sans-serif;overflow-wrap:break-word}
main,header,footer,nav{max-width:100rem;margin:0 auto;padding:0 clamp(.7rem,2vw,1.5rem)}
header{padding-top:1.5rem;display:grid;gap:0 1.25rem}
h1{font-size:1.75rem;line-height:1.2;margin:0}
h2{font-size:1.3rem;line-height:1.3;margin:2.5rem 0 .75rem;padding-top:.75rem;border-top:1px solid var(--line)}
p{margin:.6rem 0;max-width:44rem}
a{color:var(--link)}
.subtitle{color:var(--muted);margin:.3rem 0 0}
.basis{color:var(--muted);font-size:.9rem;margin-top:0;max-width:66rem}
.evidence{font-size:.9rem}
.heed{font-weight:600}
.answer{margin:1rem 0;padding:.1rem 1rem .6rem;background:var(--card);border-left:.35rem solid var(--note)}
.answer h2{margin:.6rem 0 .3rem;padding:0;border:0}
.cautions{margin:1.25rem 0;padding:.75rem 1rem;background:var(--card);border-left:.35rem solid var(--error)}
.cautions h2{font-size:1rem;margin:0;padding:0;border:0}
.cautions ul{margin:.4rem 0 0;padding-left:1.2rem}
nav ol{margin:1rem 0 0;padding-left:1.4rem;columns:16rem}
.key-figures{display:grid;grid-template-columns:repeat(auto-fit,minmax(9.5rem,1fr));gap:.75rem;margin:1rem 0}
.key-figures div{background:var(--card);padding:.6rem .8rem;border:1px solid var(--line);border-radius:.3rem}
.key-figures dt{color:var(--muted);font-size:.85rem}
.key-figures dd{margin:0}
.key-figures .value{font-size:1.35rem;font-weight:600;line-height:1.3}
.key-figures .note{color:var(--muted);font-size:.85rem}
.findings{list-style:none;margin:1rem 0;padding:0;display:grid;gap:.5rem;grid-template-columns:repeat(auto-fit,minmax(min(100%,30rem),1fr))}
.findings li{margin:0;padding:.5rem .8rem;background:var(--card);border-left:.3rem solid var(--note)}
.findings li.warning{border-color:var(--warning)}
.findings li.error{border-color:var(--error)}
.findings p{margin:.15rem 0}
.findings .advice{color:var(--muted)}
.scroll{overflow-x:auto;margin:1rem 0}
.scroll:focus-visible{outline:2px solid var(--link);outline-offset:2px}
table{border-collapse:collapse;font-size:.92rem;font-variant-numeric:tabular-nums}
caption{text-align:left;font-weight:600;padding:.2rem 0 .5rem}
th,td{padding:.35rem .7rem;border-bottom:1px solid var(--line);text-align:left;vertical-align:top;overflow-wrap:normal}
thead th{border-bottom:2px solid var(--muted);vertical-align:bottom}
tbody th{font-weight:500}
.numeric{text-align:right;white-space:nowrap}
thead .numeric{white-space:normal}
.prose{min-width:11rem}
.tables{display:flex;flex-wrap:wrap;gap:0 2.5rem;align-items:start}
.tables>*{max-width:100%}
.figures{display:grid;grid-auto-flow:dense;gap:0 1.5rem;align-items:start;grid-template-columns:repeat(auto-fit,minmax(min(100%,31rem),1fr))}
figure{margin:1.25rem 0;min-width:0;container-type:inline-size}
figure .scroll{margin:0}
figure svg{display:block}
${shownWidths.join("\n")}
.panels{column-span:all}
@media (min-width:68rem){.panels{grid-column:span 2}}
@media screen and (min-width:68rem){
.beside{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:0 1.5rem;align-items:start}
}
figcaption{color:var(--muted);font-size:.92rem;margin-top:.3rem;max-width:44rem}
footer{margin-top:3rem;padding-bottom:2rem;color:var(--muted);font-size:.85rem}
footer p{border-top:1px solid var(--line);padding-top:.75rem}
${explorerStyle}
@media screen and (max-width:40rem){
.stacked,.stacked :is(caption,tbody){display:block}
.stacked thead{position:absolute;clip-path:inset(50%);height:1px;width:1px;overflow:hidden;white-space:nowrap}
.stacked tr{display:grid;grid-template-columns:1fr 1fr;gap:0 1rem;padding:.4rem 0;border-bottom:1px solid var(--line)}
.stacked :is(td,th){display:flex;flex-wrap:wrap;gap:0 .5rem;justify-content:space-between;min-width:0;padding:.1rem 0;border:0;text-align:left;white-space:normal;overflow-wrap:anywhere}
.stacked :is(th,.prose){grid-column:1/-1}
.stacked tbody th{font-weight:700}
.stacked td:empty{display:none}
.stacked td::before{content:attr(data-head);color:var(--muted)}
}
@media screen and (min-width:46rem) and (max-width:67.99rem){
.figures{display:block;columns:2;column-gap:1.5rem}
.figures:has(>:only-child){columns:1}
.figures>*{break-inside:avoid;margin-top:0}
}
@media screen and (min-width:64rem){
header:has(.answer){grid-template-columns:minmax(0,3fr) minmax(0,2fr);align-items:start}
header>.title,header>:only-child{grid-column:1/-1}
.cautions{margin:1rem 0}
}
@media screen and (prefers-color-scheme:dark){
:root{--page:#14181d;--card:#1d232a;--ink:#e4e7eb;--muted:#b0b8c1;--line:#3a424c;--link:#7cc4ee;
--note:#56b4e9;--good:#1fbf92;--warning:#e69f00;--error:#e8741c}
${darkChartCss("figure svg")}
}
@media print{
body{font-size:10pt}
main,header,footer,nav{max-width:none;padding:0}
nav{display:none}
h2{break-after:avoid}
figure,.key-figures,.findings li,tr{break-inside:avoid}
.basis{break-after:avoid}
.scroll{overflow:visible}
table{font-size:8pt}
th,td{padding:.25rem .4rem}
thead th{white-space:normal}
.prose{min-width:0}
.figures{display:block;columns:2;column-gap:1.5rem}
.figures:has(>:only-child){columns:1}
.figures>*{margin-top:0}
.live .explorer{display:none}
.live .still{display:block}
}
`.trim();

/** What sets a page small enough for one sheet of A4 or Letter, cautions and all, and for a phone; nothing of it is hidden. */
export const onePaperStyle = `
@media screen and (max-width:30rem){
.one-paper table{font-size:.8rem;width:100%}
.one-paper th,.one-paper td{padding:.2rem .3rem}
.one-paper .prose{min-width:0}
.one-paper .numeric,.one-paper thead th{white-space:normal}
}
@media print{
@page{margin:7mm}
.one-paper{font-size:7pt;line-height:1.2}
.one-paper h1{font-size:13pt}
.one-paper h2{font-size:9pt;margin:1.6mm 0 .8mm;padding-top:.8mm}
.one-paper header{padding-top:0}
.one-paper p{margin:.6mm 0;max-width:none}
.one-paper .cautions{margin:1.5mm 0;padding:1mm 2.5mm;border-left-width:1mm}
.one-paper .cautions h2{font-size:8pt;margin:0;padding:0}
.one-paper .cautions ul{columns:2;column-gap:6mm;margin:.4mm 0 0;padding-left:3mm}
.one-paper .cautions li{break-inside:avoid}
.one-paper main{columns:2;column-gap:6mm}
.one-paper .key-figures{grid-template-columns:repeat(4,1fr);gap:1mm;margin:1mm 0}
.one-paper .key-figures div{padding:.6mm 1.2mm}
.one-paper .key-figures .value{font-size:10pt}
.one-paper .key-figures dt,.one-paper .key-figures .note{font-size:6.5pt}
.one-paper .findings{margin:1mm 0}
.one-paper .findings li{margin:.7mm 0;padding:.5mm 1.5mm;border-left-width:.8mm}
.one-paper .findings p{margin:0}
.one-paper .scroll{margin:1mm 0}
.one-paper table{font-size:7pt;width:100%}
.one-paper caption{padding:.3mm 0 .5mm}
.one-paper th,.one-paper td{padding:.25mm .8mm}
.one-paper thead th{border-bottom-width:1px;white-space:normal}
.one-paper .prose{min-width:0}
.one-paper figure{margin:1mm 0}
.one-paper .figures{columns:1}
.one-paper figure svg{max-width:100%;max-height:36mm;height:auto}
.one-paper figcaption{font-size:6.5pt;margin-top:0}
.one-paper footer{margin-top:1mm;padding-bottom:0;font-size:6.5pt}
.one-paper footer p{padding-top:.6mm}
.dense,.dense table{font-size:6.6pt;line-height:1.13}
.dense h2{margin:1mm 0 .4mm;padding-top:.4mm}
.dense th,.dense td{padding-top:.1mm;padding-bottom:.1mm}
.dense .key-figures .value{font-size:8.5pt}
.dense .cautions{margin:.8mm 0}
.dense .scroll,.dense figure{margin:.5mm 0}
.dense figure svg{max-height:24mm}
.to-write-on,.to-write-on table{font-size:8.5pt}
.to-write-on td:empty{width:38%;height:9mm;border:1px solid var(--line)}
}
`.trim();
