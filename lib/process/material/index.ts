export { cardEnthalpy, materialCard, materialCards } from "./material-card.js";
export { type AlloyFamily, type CardProperty, cardProperties, type MaterialCard } from "./material-types.js";
export {
  austeniticConductivity,
  carbonSteelConductivity,
  carbonSteelSpecificHeat,
} from "./steel-properties.js";
