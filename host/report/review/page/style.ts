/*
 * Two colours stand for the two sides everywhere: head is blue and solid, base is orange and dashed. They also differ in lightness,
 * and no information depends on them alone. Colours of lines have a contrast of at least 3 : 1, colours of text 4.5 : 1.
 */
const LIGHT = `color-scheme:light;--ground:#fcfcfa;--sheet:#f3f3ee;--ink:#23272e;--faint:#5c626b;--rule:#dcdcd3;--strong:#8d9096;
--link:#14578f;--base:#c2690a;--head:#1769aa;--basetext:#8f4a00;--headtext:#14578f;--bad:#9d2016;--baseband:#c2690a3d;--headband:#1769aa3d`;
const DARK = `color-scheme:dark;--ground:#16181b;--sheet:#1e2125;--ink:#dfe2e6;--faint:#a0a6af;--rule:#33383e;--strong:#70767e;
--link:#84bff2;--base:#e39a33;--head:#4fa8ea;--basetext:#f0b25e;--headtext:#84bff2;--bad:#f59a8c;--baseband:#e39a3347;--headband:#4fa8ea47`;

export const PAGE = `
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;scroll-padding-top:.5rem}
body{margin:0;background:var(--ground);color:var(--ink);font:14px/1.4 system-ui,sans-serif;font-variant-numeric:tabular-nums;overflow-wrap:break-word}
.title,.lead,.reason,.notes,.stop,.source,h1,h2{overflow-wrap:anywhere}
body>*{max-width:1320px;margin:0 auto;padding:0 20px}
a{color:var(--link);text-underline-offset:2px}
:focus-visible{outline:2px solid var(--link);outline-offset:2px}
h1,h2,h3,p,ul,figure,table{margin:0;padding:0}
h1{font-size:19px;font-weight:600}
h2{font-size:17px;font-weight:600;margin:0 0 6px}
h3{font-size:14px;font-weight:600;margin:14px 0 3px}
code,pre,.hash,.place,.signal,.value,.state td,.state th{font-family:ui-monospace,SFMono-Regular,Menlo,Consolas,"DejaVu Sans Mono",monospace;font-size:12.5px}
.faint{color:var(--faint)}
.skip{position:absolute;left:-999px;top:0;background:var(--ground);padding:6px 10px;z-index:2}
.skip:focus{left:8px}
section{padding:18px 0 0}
footer{padding:18px 20px 30px}`;

/** The title block, as on an engineering drawing, and the rest of the header. */
const HEAD = `
.block{display:grid;grid-template-columns:1fr 1fr;border:1px solid var(--strong);margin-top:14px}
.block>div{padding:6px 10px;min-width:0}
.block>.whole{grid-column:1/-1;display:flex;flex-wrap:wrap;gap:2px 24px;justify-content:space-between;align-items:baseline}
.block>.side{border:solid var(--rule);border-width:1px 0}
.block>.side+.side{border-left-width:1px}
.block .name{color:var(--faint);margin-right:6px}
.answers{display:grid;grid-template-columns:max-content 1fr;gap:2px 14px;margin:0;width:100%}
.answers dt{color:var(--faint)}.answers dd{margin:0;min-width:0;overflow-wrap:anywhere}
.zero,.zero .verdict{color:var(--faint)!important;font-weight:400}
.list{padding-left:20px}.list li{margin:2px 0}.cause{margin-bottom:8px!important}
.shifts{font-size:12px}.shifts svg{display:block;max-width:100%;height:auto;overflow:visible}.shifts rect{fill:var(--head)}.shifts path{stroke:var(--strong);fill:none}.shifts text{font:10px system-ui,sans-serif;fill:var(--faint)}
.counts{list-style:none;display:flex;flex-wrap:wrap;gap:2px 22px;margin-top:3px}
nav{padding-top:8px!important}
nav ul{list-style:none;display:flex;flex-wrap:wrap;gap:2px 16px}
fieldset{border:0;margin:0;padding:0;min-width:0}
fieldset label{margin-right:8px;white-space:nowrap}
legend{float:left;padding:0;margin-right:8px;color:var(--faint)}
.theme{font-size:13px}
input{accent-color:var(--link);margin:0 3px 0 0;vertical-align:-1px}
.notice{border:1px solid var(--strong);padding:6px 10px;margin-top:10px}`;

export const TABLES = `
.wide{overflow-x:auto;position:relative}
table{border-collapse:collapse;width:100%;text-align:left}
caption{text-align:left;color:var(--faint);font-size:12px;padding:2px 0}
th,td{padding:2px 11px 2px 0;vertical-align:top;border-top:1px solid var(--rule);font-weight:400;text-align:left}
thead th{border-top:0;border-bottom:1px solid var(--strong);font-size:12px;color:var(--faint);white-space:nowrap;vertical-align:bottom}
:is(.summary,.divergence) th[scope=row]{font-weight:600}
.n{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}
.hash{word-break:break-all;font-size:12px}
.sort{font:inherit;color:inherit;background:none;border:0;padding:0;cursor:pointer;text-decoration:underline dotted;text-underline-offset:3px}
[aria-sort=ascending] .sort::after{content:" ▴" / ""}
[aria-sort=descending] .sort::after{content:" ▾" / ""}
.verdict{white-space:nowrap;font-weight:600}
.verdict>span{display:inline-block;width:1em;text-align:center}
.verdict.stopped,.verdict.refused,.stop{color:var(--bad)}
.verdict.same,.verdict.stateDiffers{font-weight:400}
.summary .title{font-weight:400;font-size:12.5px}
.summary td,.summary th{padding-top:4px;padding-bottom:4px}
.summary .faint{font-size:12.5px}
.summary th[scope=row]{min-width:12em}
.value,.nobreak,.state td,.strokes td:last-child{white-space:nowrap}
.filter{padding:0 0 4px}
.only tr.same{display:none}
.base.value{color:var(--basetext)}.head.value{color:var(--headtext)}
.shape{display:inline-block;width:1em;text-align:center}
.worse td:last-child{font-weight:600}
.state td:nth-child(3)::before{content:"≠ " / "";color:var(--faint)}
.state th[scope=rowgroup],.equal p{color:var(--faint);font:12px system-ui,sans-serif;padding:6px 0 1px}
.equal ul{list-style:none;columns:22em;column-gap:28px;font:12px/1.45 ui-monospace,SFMono-Regular,Menlo,Consolas,"DejaVu Sans Mono",monospace}
.equal li{padding-left:1.5em;text-indent:-1.5em}
.states input:checked~.equal{display:none}
.strokes td:nth-child(4),.strokes td:nth-child(5),.signals td:first-child{text-align:right;white-space:nowrap}
.strokes .added td:last-child::before{content:"+ " / ""}.strokes .removed td:last-child::before{content:"× " / ""}
.strokes .earlier td:last-child::before{content:"◂ " / ""}.strokes .later td:last-child::before{content:"▸ " / ""}
.signals th[scope=row],.signals td:last-child{font:12.5px ui-monospace,SFMono-Regular,Menlo,Consolas,"DejaVu Sans Mono",monospace}
.states input{margin-left:1px}`;

const RUNS = `
.run{margin-top:26px;padding-top:10px;border-top:2px solid var(--strong);content-visibility:auto;contain-intrinsic-size:auto 1500px}
.lead{margin-bottom:2px}
.up{float:right}.run>p{display:flow-root}
.notes{padding-left:18px;margin-top:6px}
.divergence{width:auto;min-width:min(100%,640px)}
.sources{margin-top:8px;display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,420px),1fr));gap:8px 20px;align-items:start}
.source+.source{margin-top:5px}
.source figcaption{font-size:12.5px;color:var(--faint)}
.source pre{margin:2px 0 0;padding:5px 10px;background:var(--sheet);border-left:3px solid var(--strong);white-space:pre-wrap}
.sign{color:var(--faint);user-select:none}
.reason{grid-column:1/-1}
.columns{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,540px),1fr));gap:0 40px}
.columns>*,.sources>*{min-width:0}
details{margin-top:4px}
details .wide{max-height:28em;overflow:auto}
details thead th{position:sticky;top:0;background:var(--ground)}
summary{cursor:pointer;width:fit-content}
.states{margin-bottom:4px}
.states label{font-size:13px}
`;

const PLOTS = `
.tools{display:flex;flex-wrap:wrap;gap:4px 16px;align-items:center;font-size:13px;margin-bottom:4px}
.tools button{font:inherit;color:var(--ink);background:var(--ground);border:1px solid var(--strong);border-radius:0;padding:2px 8px;margin-left:-1px;min-height:26px;min-width:28px;cursor:pointer}
.tools button:hover{background:var(--sheet)}
.tools button[aria-pressed=true]{background:var(--ink);color:var(--ground)}
.tools .js{padding-left:1px}
.hint{font-size:12px}
.key{white-space:nowrap}
.dash{display:inline-block;width:22px;height:0;vertical-align:4px;margin-left:8px;border-top:2px solid var(--head)}
.dash.base{border-top:2px dashed var(--base);margin-left:0}
.dash.mark{width:0;height:13px;vertical-align:-2px;border:0;border-left:1.5px dotted var(--ink)}
.track{border-top:1px solid var(--rule);padding-top:1px}
.track figcaption{font-size:12.5px;line-height:18px}
.readout{font-size:12px;float:right;padding-left:10px}
.plot{height:104px;width:100%;overflow:hidden}
.plot.last{height:126px}
.apart svg{display:block;width:100%}.apart text{font:11px system-ui,sans-serif;fill:var(--faint)}.apart .apart{fill:var(--ink)}.apart .rule{stroke:var(--rule)}
.jump{font:inherit;color:var(--link);background:none;border:0;padding:0;cursor:pointer;text-decoration:underline dotted;text-underline-offset:3px}
.lanes svg{display:block;width:100%}
.lanes text{font:11px system-ui,sans-serif;fill:var(--faint)}
.lanes .base{fill:none;stroke:var(--base)}.lanes .head{fill:var(--head)}
.lanes .shapes{stroke:var(--ink);stroke-width:1.3;fill:none}
.lanes .shapes.full{fill:var(--ink)}
.lanes .rule{stroke:var(--rule)}.lanes .mark{stroke:var(--ink);stroke-dasharray:1.5 2.5}
.strip:focus-visible{outline-offset:4px}
.range{font-size:12px;margin-top:4px;text-align:right}
.u-select{background:var(--strong)!important;opacity:.35}
.u-hz .u-cursor-x{border-right:1px solid var(--strong)!important}`;

const SMALL = `
@media (max-width:640px){body>*{padding:0 12px}.readout{float:none;display:block;padding:0}.hint{display:none}
.summary,.summary tbody{display:block}.summary thead{position:absolute;clip-path:inset(50%);width:1px;height:1px;overflow:hidden}.summary caption{display:block}
.summary tr{display:grid;grid-template-columns:1fr 1fr;gap:0 10px;border:1px solid var(--rule);padding:6px 10px;margin-top:6px}.summary :is(td,th){border:0;padding:1px 0;min-width:0!important;overflow-wrap:anywhere;text-align:left;white-space:normal}
.summary :is(th,td:nth-child(5),td:nth-child(8)){grid-column:1/-1}.summary td[data-title]::before{content:attr(data-title) " ";color:var(--faint)}.only tr.same{display:none}.block{grid-template-columns:1fr}.block>.side+.side{border-left-width:0}
table.changed :is(th,td){white-space:normal;min-width:0}table.changed code{white-space:normal;overflow-wrap:anywhere}
.plots .track figcaption{line-height:16px}}
@media (pointer:coarse){.tools button{min-height:36px;min-width:38px}fieldset label{display:inline-block;padding:4px 0}}`;

const PRINT = `
@media print{@page{margin:12mm}body{font-size:10.5px}body>*{max-width:none;padding:0}.js:not(.plot,.apart,.lanes),nav,.skip,.up,.tools [role=group],.hint,.states input,.states label{display:none!important}
.no-js{display:inline!important}p.no-js{display:none!important}a{color:inherit;text-decoration:none}code,pre,.hash,.place,.signal,.value,.state td,.state th{font-size:9.5px!important}
.wide{overflow:visible!important;max-height:none!important}caption,thead th,figcaption,.readout,.tools,.faint,.equal p{font-size:9.5px!important}h1{font-size:15px}h2{font-size:13px}h3{font-size:11px;margin-top:10px}.track figcaption{line-height:14px}.columns{display:block}tr,.track,.source,.tools{break-inside:avoid}h2,h3,caption,summary{break-after:avoid}thead{display:table-header-group}
.run{break-before:page;margin-top:0;content-visibility:visible}.summary{min-width:0}.nobreak,.summary .value{white-space:normal}.summary *{min-width:0!important}.equal{display:none}
tbody tr:nth-child(n+41):is(.strokes *,.signals *){display:none}:is(.strokes,.signals):has(tr:nth-child(41)) caption::after{content:"; on paper 40 of them"}
details::details-content{content-visibility:visible;block-size:auto}th,td{padding-right:8px}*{print-color-adjust:exact;-webkit-print-color-adjust:exact}}`;

export const THEMES = `:root{${LIGHT}}
@media screen{:root[data-theme=dark]{${DARK}}}
@media screen and (prefers-color-scheme:dark){:root:not([data-theme=light]){${DARK}}}`;

/** The page's style: light, dark, small and on paper. Nothing is animated. */
export const STYLE = [THEMES, PAGE, HEAD, TABLES, RUNS, PLOTS, SMALL, PRINT, '.no-js{display:none}'].join('\n');

/** Hides what needs JavaScript, and shows its replacement. */
export const STYLE_WITHOUT_SCRIPT =
  '.run{content-visibility:visible}.js{display:none!important}.no-js{display:inline!important}p.no-js{display:block!important}';
