/** The view that measures on a photo. */
export const measureStyle = `
.measure{padding:.75rem 1rem;max-width:60rem;margin:0 auto;display:grid;gap:.7rem}
.measure>div{display:grid;gap:.9rem}
.choices{display:grid;gap:.4rem;grid-template-columns:repeat(auto-fit,minmax(12rem,1fr))}
.choices legend{margin-bottom:.3rem}
.fields{display:grid;gap:.6rem;grid-template-columns:repeat(auto-fit,minmax(9rem,1fr));align-items:end}
.fields .hint,.fields .remark,.fields .row{grid-column:1/-1}
.picture-place{display:grid;gap:.5rem}
.stage-place{position:relative}
.stage{overflow:auto;max-height:65vh;border:1px solid var(--line);border-radius:.4rem;background:#808080}
.picture{position:relative;touch-action:manipulation}
.picture img{display:block;width:100%;height:auto;user-select:none}
.picture svg{position:absolute;inset:0;width:100%;height:100%;pointer-events:none}
.line{fill:none;stroke:#ffffff;stroke-width:3;vector-effect:non-scaling-stroke;paint-order:stroke}
.line.scale{stroke:#ffd54a}
.line.outline{fill:rgb(255 255 255/.15)}
.handle{position:absolute;width:2.75rem;height:2.75rem;min-height:0;margin:-1.375rem 0 0 -1.375rem;padding:0;border:0;
border-radius:50%;background:none;touch-action:none;cursor:grab}
.handle::before{content:"";position:absolute;inset:.75rem;border:2px solid #ffffff;border-radius:50%;outline:2px solid #000000}
.handle.scale::before{border-color:#ffd54a;border-radius:0}
.handle:focus-visible::before,.handle:focus::before{outline-width:4px;outline-color:#005b8e}
.loupe{position:absolute;width:7.5rem;height:7.5rem;top:.5rem;left:.5rem;border:3px solid #ffffff;border-radius:.4rem;outline:1px solid #000000;pointer-events:none}
.loupe.right{left:auto;right:.5rem}
.found ol{margin:0;padding:0;list-style:none}
.found li{font-size:1.1rem}
`;
