/** The view that measures on a photo. */
export const measureStyle = `
.measure{padding:.75rem 1rem;max-width:84rem;margin:0 auto}
`;
