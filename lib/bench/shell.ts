const head = (title: string): string =>
  `<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<link rel="stylesheet" href="/bench.css">
<link rel="icon" href="/icon.svg" type="image/svg+xml">`;

/** The page before its script fills it. */
export const shellPage = `<!DOCTYPE html>
<html lang="en">
${head("Bench")}
<script type="module" src="/app/bench/page/main.js"></script>
</head>
<body>
<div id="bench"><noscript><p class="remark">The bench page needs its script: allow scripts for this address, or log with
<code>beadbench log</code>.</p></noscript></div>
</body>
</html>
`;

/** Asks a device from elsewhere on the network for the one-time code. */
export function doorPage(wrong: boolean): string {
  const fault = wrong
    ? '<p id="fault" class="fault" role="alert">That is not the code, or it was used. The terminal shows the one that holds now; after five wrong ones none holds for a minute.</p>'
    : "";
  return `<!DOCTYPE html>
<html lang="en">
${head("Bench: code")}
</head>
<body>
<main class="door">
<h1>Bench</h1>
<p>The terminal that serves this page shows a code of eight digits. It lets one device in.</p>
<form method="post" action="/door">
<label for="code">Code</label>
<input id="code" name="code" inputmode="numeric" autocomplete="one-time-code" required${wrong ? ' aria-invalid="true" aria-describedby="fault"' : ""}>
${fault}
<button class="go" type="submit">Open the bench</button>
</form>
</main>
</body>
</html>
`;
}

/** A bead on a plate. */
export const icon = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" rx="6" fill="#1f2933"/><path d="M5 21a11 9 0 0 1 22 0z" fill="#e69f00"/><path d="M3 21h26v5H3z" fill="#b0b8c1"/></svg>
`;
