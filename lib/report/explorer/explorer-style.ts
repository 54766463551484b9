/** How the explorer looks, on a screen; it uses the colours of the page's style. */
export const explorerStyle = `
.explorer[hidden]{display:none}
.live .still{display:none}
.explorer{display:grid;gap:1rem 1.5rem;grid-template-columns:minmax(0,1fr);align-items:start}
.control{display:grid;grid-template:"name typed" auto "choices typed" auto "range range" auto "fault fault" auto/minmax(0,1fr) auto;
gap:0 .75rem;align-items:center;padding:.5rem 0 .2rem;border-bottom:1px solid var(--line)}
.control label{font-weight:600;grid-area:name}
.control .choices{color:var(--muted);font-size:.85rem;grid-area:choices}
.control .typed,.control select{grid-area:typed}
.control input[type=range]{grid-area:range}
.control input[type=range]{width:100%;min-width:0;height:2.75rem;margin:0;accent-color:var(--note)}
.control .typed{white-space:nowrap}
.control input[type=number]{width:6.5rem;text-align:right}
.control input,.control select,.explorer button,.choice select{font:inherit;color:inherit}
.control input[type=number],.control select,.explorer button,.choice select{min-height:2.75rem;padding:.3rem .5rem;
background:var(--page);border:1px solid var(--muted);border-radius:.3rem}
.control select{justify-self:end}
.explorer select{max-width:100%}
.control .unit{display:inline-block;min-width:3.6rem;color:var(--muted)}
.control .fault{grid-area:fault;margin:0;color:var(--error);font-weight:600}
.control .fault:empty{display:none}
.explorer button{cursor:pointer}
.explorer :is(input,select,button):focus-visible{outline:3px solid var(--link);outline-offset:2px}
.headline{background:var(--card);border-left:.35rem solid var(--note);padding:.6rem 1rem}
.headline p{margin:0;max-width:none}
.headline .value{font-size:2.4rem;font-weight:700;line-height:1.15;font-variant-numeric:tabular-nums}
.headline :is(.label,.note){color:var(--muted);font-size:.9rem}
.readout table{width:100%}
.readout :is(th,td){padding:.35rem .4rem}
.readout .wanted{display:block;color:var(--muted);font-size:.85rem;font-weight:400}
.plots{display:flex;flex-wrap:wrap;gap:.5rem}
.explorer .along,.explorer .over{margin:0}
.plot text{font:11px "DejaVu Sans",system-ui,sans-serif;fill:var(--muted)}
.plot .title{font-size:12px;fill:var(--ink)}
.plot .grid{stroke:var(--line)}
.plot .frame{fill:none;stroke:var(--muted)}
.plot .untried{fill:var(--muted);opacity:.16}
.plot .level{stroke:var(--muted);stroke-dasharray:5 4}
.plot .curve{fill:none;stroke:var(--note);stroke-width:2}
.plot .here{stroke:var(--good);stroke-width:2}
.plot .spot{fill:var(--good);stroke:var(--page);stroke-width:1.5}
.choice{display:flex;flex-wrap:wrap;gap:.4rem .75rem;align-items:center}
.legend{list-style:none;display:flex;flex-wrap:wrap;gap:.2rem 1rem;margin:.4rem 0;padding:0;font-size:.85rem}
.legend svg{display:inline-block;vertical-align:-2px}
@media screen and (min-width:48rem){
.explorer{grid-template-columns:minmax(18rem,2fr) minmax(0,3fr)}
.explorer .along,.explorer .over{grid-column:1/-1}
}
@media screen and (min-width:80rem){
.explorer :is(.along,.over){grid-column:auto}
}
`.trim();
