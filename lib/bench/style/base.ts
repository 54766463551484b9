/** Colours, type, and what all of the page shares. Keys are at least 56 px high, for gloves. */
export const baseStyle = `
:root{--page:#ffffff;--card:#f3f5f8;--ink:#1f2933;--muted:#4a5562;--line:#aab4c0;--link:#005b8e;
--go:#005b8e;--go-ink:#ffffff;--pass:#006b4f;--fail:#a63a00;--chosen-ink:#ffffff;--warning:#8a5200;
--far:#a63a00;--odd:#fdf1dc;color-scheme:light dark}
*{box-sizing:border-box}
[hidden]{display:none!important}
html{-webkit-text-size-adjust:100%}
body{margin:0;background:var(--page);color:var(--ink);font:1.0625rem/1.45 system-ui,"DejaVu Sans",sans-serif;
overflow-wrap:break-word;padding-bottom:6.5rem}
h1{font-size:1.25rem;line-height:1.2;margin:0}
h2{font-size:1.2rem;line-height:1.25;margin:0 0 .5rem}
p{margin:.4rem 0}
small{display:block;font-size:.8125rem;font-weight:400}
button,input,select,textarea{font:inherit;color:inherit}
button{min-height:3.5rem;padding:.5rem 1rem;border:2px solid var(--line);border-radius:.6rem;background:var(--page);
font-weight:600;cursor:pointer;touch-action:manipulation}
button:disabled{opacity:.45;cursor:default}
input,select,textarea{min-height:3.25rem;width:100%;padding:.4rem .6rem;border:2px solid var(--line);border-radius:.5rem;
background:var(--page)}
input[type=radio]{width:1.5rem;height:1.5rem;min-height:0;flex:none}
input[type=file]{padding:.65rem .6rem}
:focus-visible{outline:3px solid var(--link);outline-offset:2px}
label{display:block;font-weight:600;margin-bottom:.2rem}
fieldset{border:0;margin:0;padding:0;min-width:0}
legend{font-weight:700;padding:0}
.unit{font-weight:400;color:var(--muted)}
.hint{color:var(--muted);font-size:.9375rem}
.go{background:var(--go);border-color:var(--go);color:var(--go-ink);width:100%;min-height:4rem;font-size:1.2rem}
.quiet{min-height:3rem;font-weight:500;font-size:1rem}
.fault{color:var(--far);font-weight:600}
.fault::before{content:"\\2715\\00a0"}
.remark,.warning{border-left:.3rem solid var(--warning);padding:.1rem 0 .1rem .6rem;font-size:.9375rem}
.row{display:flex;flex-wrap:wrap;gap:.5rem}
.top{padding:.75rem 1rem 0;display:grid;gap:.4rem}
.status{display:inline-block;margin:0;font-size:.9375rem;padding:.2rem .6rem;border-radius:.4rem;background:var(--card)}
.status::before{content:"\\25CF\\00a0"}
.status.on::before{color:var(--pass)}
.status.off{background:var(--odd)}
.status.off::before{color:var(--far)}
.columns{display:grid;gap:1rem;padding:.75rem 1rem;max-width:84rem;margin:0 auto}
.work,aside{min-width:0}
.work{display:grid;gap:1rem;align-content:start}
.work>div{min-width:0;order:1}
.work>div:empty{display:none}
.door{max-width:26rem;margin:0 auto;padding:2rem 1rem;display:grid;gap:.75rem}
.door form{display:grid;gap:.6rem}
.door input{font-size:1.6rem;letter-spacing:.15em}
@media (max-width:59.99rem){
.columns{display:flex;flex-direction:column}
.work{display:contents}
.columns>*{order:1}
.columns>aside{order:2}
.work>.after{order:3}
}
@media (min-width:60rem){
.columns{grid-template-columns:minmax(0,36rem) minmax(0,1fr);gap:2rem}
.top{max-width:84rem;margin:0 auto;grid-template-columns:1fr auto;align-items:center}
.top h1{grid-column:1/-1}
}
@media (prefers-color-scheme:dark){
:root{--page:#14181d;--card:#1f262e;--ink:#e8ebee;--muted:#b4bdc7;--line:#5a6572;--link:#7cc4ee;--go:#7cc4ee;
--go-ink:#0d1318;--pass:#5fd0a8;--fail:#ff9a66;--chosen-ink:#0d1318;--warning:#e8b04a;--far:#ff9a66;--odd:#3a2f18}
}
`;
