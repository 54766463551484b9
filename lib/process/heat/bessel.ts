/**
 * Modified Bessel function of the second kind, order 0, times exp(z), from its integral
 *
 *     exp(z) K0(z) = int_0^inf exp(-z (cosh t - 1)) dt
 *
 * by the trapezoidal rule, which converges faster than any power on such integrands: 12 digits and more
 * for z from 1e-8 to 1e5.
 *
 * @source Abramowitz and Stegun, Handbook of Mathematical Functions, 9.6.24
 */
export function scaledBesselK0(z: number): number {
  // Beyond `end` the integrand is below exp(-40).
  const end = Math.acosh(1 + 40 / z);
  const steps = 120;
  const h = end / steps;
  let sum = 0.5;
  for (let i = 1; i <= steps; i++) sum += Math.exp(-z * (Math.cosh(i * h) - 1));
  return h * sum;
}
