/** Cards, settings, number pad, verdicts, clock. */
export const couponStyle = `
.card{background:var(--card);border:1px solid var(--line);border-radius:.8rem;padding:.9rem}
.card.open{border:2px solid var(--link)}
.card.open>*+*{margin-top:1rem}
.card header{display:flex;align-items:baseline;gap:.75rem;flex-wrap:wrap}
.card header h2{font-size:1.9rem;margin:0}
.card .role{margin:0;color:var(--muted)}
.settings,.best{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:.5rem;margin:0 0 .5rem}
.setting,.best>div{background:var(--page);border:1px solid var(--line);border-radius:.5rem;padding:.4rem .6rem}
.setting dt,.best dt{color:var(--muted);font-size:.9375rem}
.setting dd,.best dd{margin:0}
.setting strong{font-size:1.7rem;line-height:1.2}
.setting small{display:inline;font-size:1rem}
.best strong{font-size:1.25rem}
.setting input,.setting select{margin-top:.3rem}
.readings>*+*{margin-top:.9rem}
.reading .hint{margin:.1rem 0 .4rem}
.boxes{display:flex;flex-wrap:wrap;gap:.4rem}
.box{flex:1 1 4.8rem;min-width:4.8rem;max-width:7.5rem;min-height:3.5rem;font-size:1.4rem;font-weight:600;text-align:center;padding:.2rem;
font-variant-numeric:tabular-nums}
.box::placeholder{color:var(--muted);opacity:1;font-weight:400}
.box.open{border-color:var(--link);border-width:3px;background:var(--card)}
.box.far{border-color:var(--far);border-style:dashed}
.box[aria-invalid]{border-color:var(--far)}
.more{min-height:3.5rem;flex:0 0 2.9rem;padding:0;font-size:1.4rem}
.pad{background:var(--page);border:2px solid var(--link);border-radius:.8rem;padding:.6rem}
.pad-head{display:grid;grid-template-columns:1fr auto;gap:0 .6rem;align-items:end;margin-bottom:.5rem}
.pad-title{font-weight:600;grid-column:1/-1}
.pad-value{font-size:2.1rem;line-height:1.1;font-weight:700;font-variant-numeric:tabular-nums;text-align:right;white-space:nowrap}
.pad-empty{color:var(--muted);font-weight:400}
.pad-expected{color:var(--muted);font-size:.9375rem}
.pad-far{color:var(--far);font-weight:600}
.pad-keys{display:grid;grid-template-columns:repeat(4,minmax(0,1fr));gap:.4rem}
.pad-key{min-height:3.75rem;font-size:1.6rem;padding:.2rem;background:var(--card)}
.pad-word{font-size:.9375rem;line-height:1.15}
.pad-next{background:var(--go);border-color:var(--go);color:var(--go-ink);font-size:1.1rem}
.verdicts{display:grid;grid-template-columns:1fr 1fr;gap:.5rem;margin-top:.9rem}
.verdicts legend{margin-bottom:.3rem}
.verdicts .fault{grid-column:1/-1}
.verdict{min-height:4.5rem;display:flex;align-items:center;gap:.6rem;text-align:left;font-size:1.2rem;padding:.4rem .7rem}
.verdict .mark{font-size:1.7rem;line-height:1}
.verdict.pass{border-color:var(--pass);color:var(--pass)}
.verdict.fail{border-color:var(--fail);color:var(--fail)}
.verdict.pass[aria-pressed=true]{background:var(--pass);color:var(--chosen-ink)}
.verdict.fail[aria-pressed=true]{background:var(--fail);color:var(--chosen-ink)}
.clock{display:flex;align-items:center;gap:.75rem;flex-wrap:wrap}
.clock .arc{min-width:7rem;min-height:4rem;font-size:1.1rem}
.clock .arc[aria-pressed=true]{background:var(--fail);border-color:var(--fail);color:var(--chosen-ink)}
.clock-face{flex:1;display:grid}
.arc-seconds{font-size:1.3rem;font-weight:700;font-variant-numeric:tabular-nums}
.time-of-day{color:var(--muted)}
.extras{display:grid;gap:.6rem}
.today{display:flex;align-items:center;justify-content:space-between;gap:.6rem;flex-wrap:wrap}
.today.asking{display:grid;background:var(--odd);border-radius:.8rem;padding:.9rem;align-items:stretch}
.blocks{display:grid;grid-template-columns:repeat(auto-fit,minmax(8rem,1fr));gap:.6rem}
@media (min-width:40rem){
.settings{grid-template-columns:repeat(auto-fit,minmax(11rem,1fr))}
.extras{grid-template-columns:1fr 1fr}
}
`;
