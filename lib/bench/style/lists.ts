/** Lists, lessons, the standing, and the bar of incidents and changes. */
export const listStyle = `
.planned ol{list-style:none;margin:0;padding:0;display:grid;gap:.5rem}
.later{width:100%;text-align:left;display:grid;gap:.1rem;font-weight:400;background:var(--card)}
.later b{font-size:1.15rem}
.logged{display:grid;gap:.5rem}
.done summary{min-height:2.5rem;cursor:pointer}
.done summary span{color:var(--muted)}
.note{border-left:.2rem solid var(--line);padding-left:.6rem;font-size:.9375rem}
.lesson{background:var(--card);border-left:.4rem solid var(--pass);border-radius:.4rem;padding:.7rem .9rem}
.lesson.suspect{border-color:var(--far);background:var(--odd)}
.lesson ul{list-style:none;margin:0;padding:0}
.lesson li{margin:.35rem 0}
.lesson li.suspect strong{color:var(--far)}
.advice{font-size:.9375rem}
.standing{background:var(--card);border-radius:.8rem;padding:.9rem}
.said{display:grid;gap:.4rem;background:var(--card);border-left:.4rem solid var(--link);border-radius:.4rem;padding:.6rem .9rem}
.said.odd{background:var(--odd)}
.said p{margin:0}
.said button{justify-self:start}
.refused .card+.card{margin-top:.5rem}
.event-bar{position:fixed;left:0;right:0;bottom:0;z-index:2;display:grid;grid-template-columns:1fr 1fr;gap:.5rem;
padding:.6rem 1rem calc(.6rem + env(safe-area-inset-bottom));background:var(--page);border-top:2px solid var(--line)}
.event-bar>button{min-height:4.25rem;line-height:1.15;max-width:26rem}
.event-bar .wrong{border-color:var(--fail);color:var(--fail);justify-self:end;width:100%}
.event-bar .changed{width:100%}
.sheet{width:min(40rem,calc(100vw - 1.5rem));max-height:calc(100vh - 2rem);border:2px solid var(--line);border-radius:.9rem;
padding:1rem;background:var(--page);color:var(--ink)}
.sheet::backdrop{background:rgb(0 0 0/.55)}
.sheet>*+*{margin-top:.8rem}
.outcomes{display:grid;grid-template-columns:repeat(3,minmax(0,1fr));gap:.4rem}
.choice{display:flex;align-items:center;gap:.4rem;min-height:3.25rem;padding:.3rem .5rem;border:2px solid var(--line);
border-radius:.5rem;margin:0;font-weight:500;font-size:.9375rem;line-height:1.15}
.choice:has(:checked){border-color:var(--link);background:var(--card);font-weight:700}
.causes{display:grid;grid-template-columns:repeat(auto-fill,minmax(9.5rem,1fr));gap:.5rem}
.cause{min-height:4rem;line-height:1.15}
.cause small{color:var(--muted)}
.other .row{flex-wrap:nowrap}
.other .row button{flex:none}
`;
