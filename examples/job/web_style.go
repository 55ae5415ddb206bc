package job

// pageStyle is the style of the page: for a screen of any width, and for paper.
const pageStyle = `
:root{color-scheme:light}
body{margin:0 auto;max-width:76rem;padding:1rem;font:1rem/1.45 system-ui,Arial,Helvetica,sans-serif;
color:#111;background:#fff}
h1{font-size:1.6rem;line-height:1.2;margin:.5rem 0}h2{font-size:1.3rem;border-top:3px solid #111;
padding-top:.4rem;margin-top:2rem}
h3{font-size:1.05rem;margin:1.2rem 0 .4rem}
a{color:#0a4a9e}
a:focus-visible,.sheet:focus-visible,.scroll:focus-visible,summary:focus-visible{outline:3px solid #d55e00;
outline-offset:2px}
.skip,.sr{position:absolute;left:-99rem}.skip:focus{left:1rem}
.about{display:grid;grid-template-columns:repeat(auto-fit,minmax(17rem,1fr));gap:.2rem 1rem;margin:.5rem 0}
.about dt{font-size:.8rem;color:#444}.about dd{margin:0;overflow-wrap:anywhere}
nav ul{display:flex;flex-wrap:wrap;gap:.3rem 1rem;padding:0;list-style:none}nav a{display:inline-block;
padding:.3rem 0}
.note{color:#333;font-size:.9rem}.verdict{font-size:1.25rem;font-weight:bold}
.findings{list-style:none;padding:0}.findings li{display:flex;gap:.7rem;padding:.5rem;
border-left:4px solid #777;margin:.5rem 0;background:#f6f6f6;overflow-wrap:anywhere}
.findings li.fail{border-color:#000;background:#eee}.findings p{margin:0 0 .3rem}
.findings li>div{min-width:0}
.ring{flex:none;min-width:1.6rem;height:1.6rem;line-height:1.6rem;border:1.5px solid #000;border-radius:1rem;
text-align:center;font-size:.85rem;background:#fff}
.fail .ring{background:#000;color:#fff}
.see{font-size:.85rem;margin-left:.2rem}
:target{outline:3px solid #d55e00;outline-offset:2px}g:target path{stroke:#d55e00;stroke-width:2.4}
g:target text{fill:#a33f00;font-weight:bold}
figure{margin:0 0 1rem}.sheet,.scroll{overflow-x:auto;border:1px solid #999}.scroll{border:0}
.sheet svg{display:block;min-width:100%;height:auto}
figcaption,caption{font-size:.85rem;color:#333;text-align:left;padding:.2rem 0}
table{border-collapse:collapse;font-size:.85rem;width:100%}th,td{border:1px solid #aaa;padding:.2rem .4rem;
text-align:left;vertical-align:top;unicode-bidi:isolate}
th,td{max-width:26rem;overflow-wrap:break-word}
thead th{background:#e8e8e8}tbody tr:nth-child(even){background:#f6f6f6}td.n{text-align:right;
font-variant-numeric:tabular-nums;white-space:nowrap}
summary{cursor:pointer;color:#0a4a9e;padding:.1rem 0}details p{margin:.2rem 0}
.warn{border:2px solid #000;padding:.5rem;font-weight:bold}.signs td{height:2rem;min-width:5rem}
@media print{
body{max-width:none;padding:0;font-size:9pt}nav,.skip,.see{display:none}
.leaf,#drawings,#schedules{break-before:page}h2,h3{break-after:avoid}tr,li,figure{break-inside:avoid}
thead{display:table-header-group}
.scroll,.sheet{overflow:visible;border:0}.sheet svg{width:100%;min-width:0}
@page{margin:12mm}
@page drawing{size:landscape;margin:6mm}
figure{page:drawing;break-before:page}figcaption{display:none}.sheet svg{max-height:190mm}
details:not([open]){display:none}summary{display:none}#drawings h2,#drawings h3,#drawings>.note{display:none}
}
`
