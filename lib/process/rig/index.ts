export { checkWater, waterHeat, waterOutletLimit, waterRise } from "./cooling-water.js";
export { type ArcTurn, currentAtDuty, type DutyRating, dutyAt, worstDuty } from "./duty-cycle.js";
export {
  checkEquipment,
  type Equipment,
  type EquipmentCheck,
  type EquipmentLoad,
  type Piece,
  type PieceLoad,
} from "./equipment.js";
export {
  checkPlasma,
  type Orifice,
  type PlasmaSetting,
  plasmaGasFlow,
  plasmaShieldFlow,
} from "./plasma-torch.js";
export {
  checkTungsten,
  type Polarity,
  type TungstenRange,
  tungstenRange,
  tungstenRanges,
} from "./tungsten.js";
